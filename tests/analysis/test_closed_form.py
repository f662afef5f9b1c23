"""Whole pulls of closed-form curves: every measure, toe, slack, the rig's give, each against its closed form."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.analyse import analyse
from analysis.guideline import Guideline
from analysis.results import NotMeasured
from analysis.study import Options
from analysis.synthetic import Truth, make_trace
from tests.analysis.curves import AREA_UM2, GAUGE_MM, smooth, table, trilinear, value

GUIDELINE = Guideline()
#: Sampled as the closed-form curves are tabulated: every 0.2 % strain.
STRAIN = np.arange(0, 226) * 0.002


def test_trilinear() -> None:
    """Exact values of the curve (0, 0), (2 %, 80), (30 %, 95), (45 %, 200 MPa), by hand."""
    found = analyse(table(STRAIN, trilinear(STRAIN)), GUIDELINE)
    assert found.outcome == "broke"
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, rel=1e-9)
    assert found.elongation_reached_pct == pytest.approx(45.0, rel=1e-9)
    assert value(found.stress_at_break_mpa) == pytest.approx(200.0, rel=1e-9)
    assert value(found.force_max_n) == pytest.approx(200.0 * AREA_UM2 * 1e-6, rel=1e-9)
    assert value(found.force_at_break_n) == pytest.approx(200.0 * AREA_UM2 * 1e-6, rel=1e-9)
    assert value(found.initial_modulus_gpa) == pytest.approx(4.0, rel=1e-6)
    assert value(found.yield_strain_pct) == pytest.approx(2.0, rel=1e-6)
    assert value(found.yield_stress_mpa) == pytest.approx(80.0, rel=1e-6)
    assert value(found.post_yield_strain_pct) == pytest.approx(30.0, rel=1e-6)
    assert value(found.work_to_20pct_mj_m3) == pytest.approx(16.067857, rel=1e-6)
    assert value(found.work_to_break_mj_m3) == pytest.approx(47.425, rel=1e-6)
    assert value(found.work_to_break_uj) == pytest.approx(47.425 * AREA_UM2 * GAUGE_MM * 1e-3, rel=1e-6)
    assert found.flags == ()
    assert found.verdict.verdict_class == "meets"


def test_trilinear_regions_and_curve() -> None:
    found = analyse(table(STRAIN, trilinear(STRAIN)), GUIDELINE)
    assert [region.name for region in found.regions] == ["elastic", "yield", "post_yield"]
    assert [region.start_pct for region in found.regions] == pytest.approx([0.0, 2.0, 30.0], abs=1e-6)
    assert [region.end_pct for region in found.regions] == pytest.approx([2.0, 30.0, 45.0], abs=1e-6)
    assert found.curve is not None
    assert found.curve.stress_mpa is not None
    assert found.curve.stress_mpa == pytest.approx(trilinear(found.curve.strain_pct / 100.0), abs=1e-6)
    assert found.curve.source_index.tolist() == list(range(226))


def test_smooth() -> None:
    """Exact values of 80 (1 - exp(-e / 0.02)) + 150 e to 45 %: stress 147.5, work 17.40007264 and 49.5875 MJ/m3."""
    found = analyse(table(STRAIN, smooth(STRAIN)), GUIDELINE)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, rel=1e-9)
    assert value(found.stress_at_break_mpa) == pytest.approx(147.5, rel=1e-6)
    assert value(found.work_to_20pct_mj_m3) == pytest.approx(17.40007264, rel=1e-3)
    assert value(found.work_to_break_mj_m3) == pytest.approx(49.5875, rel=1e-3)
    assert isinstance(found.post_yield_strain_pct, NotMeasured)


def test_smooth_sampled_finely_shows_its_initial_modulus() -> None:
    """The tangent at zero is 80 / 0.02 + 150 = 4150 MPa; a window of a curve that bends at once stays below it."""
    strain = np.linspace(0.0, 0.45, 4501)
    modulus = analyse(table(strain, smooth(strain)), GUIDELINE).initial_modulus_gpa
    assert value(modulus) == pytest.approx(4.15, rel=0.12)
    assert abs(value(modulus) - 4.15) < 2.0 * modulus.u  # type: ignore[union-attr]


def test_worked_modulus() -> None:
    """22 gf = 0.216 N stretch a round hair of 60 um from 10.0 to 10.2 cm: 3.8 GPa are printed.

    A handbook of hair science, Appendix B, p. 527; 3.819719 GPa recomputed from 0.216 N.
    """
    strain = np.linspace(0.0, 0.02, 41)
    area_um2 = np.pi * 60.0**2 / 4.0
    stress = strain / 0.02 * 0.216 / area_um2 * 1e6
    found = analyse(table(strain, stress, gauge_mm=100.0, diameter_um=60.0), GUIDELINE)
    assert value(found.initial_modulus_gpa) == pytest.approx(3.8, abs=0.05)
    assert value(found.initial_modulus_gpa) == pytest.approx(3.819719, rel=1e-6)


def toe(strain: np.ndarray, modulus_mpa: float = 4000.0, end: float = 0.008) -> np.ndarray:
    """A parabolic toe up to `end`, then a straight line: its extension meets zero at end / 2 (ASTM D638 A1)."""
    return np.where(strain < end, modulus_mpa * strain**2 / (2.0 * end), modulus_mpa * (strain - end / 2.0))


def test_toe_compensation() -> None:
    """ASTM D638 Annex A1 by closed form: stresses at 0.4, 0.8, 1.2, 2 % are 4, 16, 32, 64 MPa, zero is at 0.4 %."""
    strain = np.arange(0, 128) * 0.002
    assert toe(np.array([0.004, 0.008, 0.012, 0.02])) == pytest.approx([4.0, 16.0, 32.0, 64.0])
    found = analyse(table(strain, toe(strain)), GUIDELINE)
    slack_mm = 0.004 * GAUGE_MM
    length_mm = GAUGE_MM + slack_mm
    # Strain counts beyond the slack over gauge length plus slack; the modulus follows that length too.
    assert value(found.elongation_at_break_pct) == pytest.approx(100.0 * 0.250 * GAUGE_MM / length_mm, rel=1e-6)
    assert value(found.initial_modulus_gpa) == pytest.approx(4.0 * length_mm / GAUGE_MM, rel=1e-6)
    assert [flag.code for flag in found.flags] == ["slack"]
    kept = analyse(table(strain, toe(strain)), GUIDELINE, Options(remove_slack=False))
    assert value(kept.elongation_at_break_pct) == pytest.approx(25.4, rel=1e-9)
    assert kept.flags == ()


def test_slack_turns_the_verdict() -> None:
    """0.9 mm of slack on 30 mm: 6.9 mm are 23.0 % of the gauge length, but (6.9 - 0.9) / 30.9 = 19.42 %."""
    strand = Truth(knots=((0.0, 0.0), (0.02, 80.0), (6.0 / 30.9, 90.0)), slack_mm=0.9)
    trace = make_trace(strand, as_table=True)
    taken_out = analyse(trace, GUIDELINE)
    left_in = analyse(trace, GUIDELINE, Options(remove_slack=False))
    assert value(taken_out.elongation_at_break_pct) == pytest.approx(19.42, abs=0.02)
    assert taken_out.verdict.verdict_class == "below"
    assert value(left_in.elongation_at_break_pct) == pytest.approx(23.0, abs=0.02)
    assert left_in.verdict.verdict_class == "meets"
    assert "slack" in {flag.code for flag in taken_out.flags}


@pytest.mark.parametrize("noise_n", [0.0, 0.001])
def test_strain_from_a_pretension(noise_n: float) -> None:
    """Counted from 0.02 N: by closed form 0.02 N lie at e0 = 0.02 / (4000 MPa A) beyond 0.4 mm of slack.

    The length there is L = 30 + 0.4 + e0 30.4 mm, and the break lies (0.45 - e0) 30.4 mm further.
    """
    strand = Truth(slack_mm=0.4, noise_n=noise_n)
    e0 = 0.02 / (4000.0 * strand.area_um2 * 1e-6)
    onset = 0.4 + e0 * 30.4
    found = analyse(make_trace(strand, 2), GUIDELINE, Options(pretension_n=0.02))
    wanted = 100.0 * (0.45 - e0) * 30.4 / (30.0 + onset)
    assert value(found.elongation_at_break_pct) == pytest.approx(wanted, abs=0.015 + 40.0 * noise_n)
    assert "slack" in {flag.code for flag in found.flags}
    never = analyse(make_trace(strand, 2), GUIDELINE, Options(pretension_n=5.0))
    assert value(never.elongation_at_break_pct) == pytest.approx(100.0 * (0.4 + 0.45 * 30.4) / 30.0, abs=0.05)


#: ASTM C1557, system compliance (formula from memory): dL/F = l0/(E A) + Cs with E 4 GPa, d 70 um, Cs 2.0e-3 m/N.
C1557 = [(10.0, 0.98069), (20.0, 1.57519), (30.0, 1.97409), (50.0, 2.47563)]


@pytest.mark.parametrize(("length_mm", "apparent_gpa"), C1557)
def test_the_rigs_own_give(length_mm: float, apparent_gpa: float) -> None:
    rig = Truth(
        knots=((0.0, 0.0), (0.05, 200.0)), gauge_mm=length_mm, compliance_mm_per_n=2.0, speed_mm_s=0.01 * length_mm
    )
    trace = make_trace(rig)
    assert value(analyse(trace, GUIDELINE).initial_modulus_gpa) == pytest.approx(4.0, rel=5e-4)
    given = analyse(trace, GUIDELINE, Options(correct_compliance=False))
    assert value(given.initial_modulus_gpa) == pytest.approx(apparent_gpa, rel=5e-4)


def test_give_shifts_the_elongation_by_compliance_times_force() -> None:
    rig = Truth(compliance_mm_per_n=0.4)
    corrected, raw = (analyse(make_trace(rig), GUIDELINE, Options(correct_compliance=on)) for on in (True, False))
    force = value(corrected.force_at_break_n)
    difference = value(raw.elongation_at_break_pct) - value(corrected.elongation_at_break_pct)
    assert value(corrected.elongation_at_break_pct) == pytest.approx(45.0, abs=0.02)
    assert difference == pytest.approx(100.0 * 0.4 * force / 30.0, rel=0.01)


def test_stress_from_a_given_cross_section() -> None:
    found = analyse(table(STRAIN, trilinear(STRAIN), diameter_um=None), GUIDELINE)
    for quantity in (found.stress_at_break_mpa, found.initial_modulus_gpa, found.work_to_20pct_mj_m3):
        assert isinstance(quantity, NotMeasured)
        assert "--diameter-um" in quantity.reason
    assert value(found.force_max_n) > 0.0
    assert value(found.yield_strain_pct) == pytest.approx(2.0, rel=1e-6)
