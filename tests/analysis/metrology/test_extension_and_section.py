"""Extension, the rig's give, the daily check and the strand's cross-section."""

from __future__ import annotations

import math

import pytest

from analysis.metrology.cross_section import (
    circle_from_one_reading,
    diffraction_diameter_um,
    ellipse_from_axes,
    from_linear_density,
    linear_density_tex,
    tenacity_cn_tex,
)
from analysis.metrology.daily_check import check_reading
from analysis.metrology.extension_calibration import (
    LengthStep,
    StiffPull,
    calibrate_extension,
    from_turns,
    rig_compliance,
)


def test_gauge_blocks_give_the_length_of_a_step() -> None:
    points = [LengthStep(mm, 0.001, round(mm * 800)) for mm in (1, 2, 5, 10, 20)]
    report = calibrate_extension(points)
    assert report.calibration is not None
    assert report.calibration.mm_per_step == pytest.approx(1 / 800, rel=1e-6)
    assert report.findings == ()


def test_backlash_and_an_uneven_point_are_named() -> None:
    points = [LengthStep(mm, 0.001, round(mm * 800)) for mm in (1, 2, 5, 10, 20)]
    back = [LengthStep(mm + 0.05, 0.001, round(mm * 800), outward=False) for mm in (5, 10)]
    report = calibrate_extension([*points, *back])
    assert {f.code for f in report.findings} == {"backlash"}
    assert report.backlash_mm == pytest.approx(0.05, abs=1e-3)
    uneven = calibrate_extension([*points, LengthStep(7.1, 0.001, 7 * 800)])
    assert {f.code for f in uneven.findings} == {"uneven"}


def test_two_lengths_or_a_reversed_reference_are_refused() -> None:
    assert calibrate_extension([LengthStep(1, 0, 800), LengthStep(2, 0, 1600)]).calibration is None
    falling = calibrate_extension([LengthStep(mm, 0.001, -round(mm * 800)) for mm in (1, 2, 5)])
    assert falling.calibration is None
    assert {f.code for f in falling.findings} == {"wrong_way"}


def test_a_mistyped_reading_is_refused_and_named() -> None:
    points = [LengthStep(mm, 0.006, round(mm * 800)) for mm in (0, 1, 2, 4)]
    report = calibrate_extension([*points, LengthStep(3.9, 0.006, 2000)])
    assert report.calibration is None
    assert [f.code for f in report.findings] == ["not_straight"]
    assert "3.9 mm at step 2000" in report.findings[0].sentence


def test_counted_turns() -> None:
    assert from_turns(8000, 5, 2.0).mm_per_step == pytest.approx(0.00125)
    with pytest.raises(ValueError, match="greater than zero"):
        from_turns(0, 5, 2.0)


def test_the_rigs_give_by_the_plot_of_astm_c1557() -> None:
    # ASTM C1557, system compliance (formula from memory): E = 4 GPa, d = 70 um, Cs = 2.0e-3 m/N.
    area_mm2 = math.pi * 0.07**2 / 4
    published = {10: 0.00264961201, 20: 0.00329922403, 30: 0.00394883604, 50: 0.00524806006}
    found = rig_compliance([StiffPull(length, area_mm2, m_per_n * 1000) for length, m_per_n in published.items()])
    assert found.mm_per_n == pytest.approx(2.0, rel=1e-8)
    assert found.modulus_mpa == pytest.approx(4000, rel=1e-8)
    with pytest.raises(ValueError, match="3 different lengths"):
        rig_compliance([StiffPull(10, area_mm2, 2.6), StiffPull(20, area_mm2, 3.3), StiffPull(20, area_mm2, 3.3)])


@pytest.mark.parametrize(
    ("found", "outcome"), [(1.000, "pass"), (1.003, "pass"), (1.008, "drifted"), (1.02, "recalibrate")]
)
def test_daily_check(found: float, outcome: str) -> None:
    result = check_reading("100 g weight", 1.0, 0.001, found, 0.002)
    assert result.outcome == outcome
    assert f"{100 * (found - 1):+.2f} %" in result.sentence


def test_an_ellipse_by_its_two_axes() -> None:
    # Three groups of volunteers in a hair-science handbook, Table 3, p. 204 (library.triprinceton.org): area
    # 5063 um2 at an axis ratio of 1.29 is an ellipse of 91.19 by 70.69 um.
    section = ellipse_from_axes([91.19], [70.69], 1.0)
    assert section.area_um2 == pytest.approx(5062.8, abs=0.1)
    assert section.equivalent_diameter_um == pytest.approx(80.29, abs=0.01)


def test_a_circle_from_one_reading_carries_the_ellipse() -> None:
    major, minor = 85.57, 60.69  # ratio 1.41, same table
    true = math.pi * major * minor / 4
    for reading in (major, minor):
        section = circle_from_one_reading(reading, 1.0)
        assert abs(section.area_um2 - true) < 2 * section.u_area_um2
    assert ellipse_from_axes([major], [minor], 1.0).u_area_um2 < section.u_area_um2 / 4


def test_places_along_the_strand_are_averaged_with_their_scatter() -> None:
    even = ellipse_from_axes([80, 80, 80], [60, 60, 60], 0.5)
    uneven = ellipse_from_axes([80, 88, 72], [60, 66, 54], 0.5)
    assert uneven.u_area_um2 > 3 * even.u_area_um2
    with pytest.raises(ValueError, match="as many readings"):
        ellipse_from_axes([80, 81], [60], 0.5)


def test_diffraction() -> None:
    # A public lab page on measuring a hair with a laser: 680 nm, 1 m, fourth fringe at 4.8 cm, prints 56.7 um
    # (small angle 56.667; exact 56.732).
    assert diffraction_diameter_um(680, 1000, 48, 4) == pytest.approx(56.732, abs=1e-3)
    assert diffraction_diameter_um(650, 1000, 10) == pytest.approx(65.003, abs=1e-3)
    assert diffraction_diameter_um(632.8, 1000, 8) == pytest.approx(79.103, abs=1e-3)
    assert diffraction_diameter_um(650, 1000, 20, full_separation=True) == diffraction_diameter_um(650, 1000, 10)
    with pytest.raises(ValueError, match="greater than zero"):
        diffraction_diameter_um(650, 1000, 0)


@pytest.mark.parametrize(("diameter", "tex"), [(50, 2.5722), (70, 5.0415), (80, 6.5848), (100, 10.2887)])
def test_area_from_linear_density(diameter: float, tex: float) -> None:
    # A[um2] = 1000 T/rho, derived; density 1.31 g/cm3 from memory
    section = from_linear_density(tex, 0.01 * tex, 1.31)
    assert section.area_um2 == pytest.approx(math.pi * diameter**2 / 4, rel=1e-4)
    assert section.u_area_um2 / section.area_um2 == pytest.approx(math.hypot(0.01, 0.005 / 1.31), rel=1e-6)


def test_mass_and_length() -> None:
    assert linear_density_tex(0.151244, 30) == pytest.approx(5.0415, rel=1e-4)
    # sigma[MPa] = 10 rho tenacity[cN/tex]: 1.31 and 15 cN/tex give 196.5 MPa
    assert 10 * 1.31 * tenacity_cn_tex(0.15 * 5.0415, 5.0415) == pytest.approx(196.5)


@pytest.mark.parametrize("diameter", [7000, 0, -70, 3])
def test_no_strand_has_that_thickness(diameter: float) -> None:
    with pytest.raises(ValueError, match="is not a strand of hair's"):
        circle_from_one_reading(diameter, 1.0)
