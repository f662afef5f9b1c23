"""Pulls that can't be averaged in: slipped, at the clamp, never broke, saturated, frozen, zeroed under tension."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.analyse import analyse
from analysis.guideline import Guideline
from analysis.results import QUANTITIES, Measured, NotMeasured, PullResult
from analysis.synthetic import Truth, make_trace
from analysis.trace import Trace
from tests.analysis.curves import value
from tests.analysis.spoil import cut_off_at, force, frozen, marked, only, with_force

GUIDELINE = Guideline()
NOISE_N = 0.002


def result(trace: Trace) -> PullResult:
    return analyse(trace, GUIDELINE)


def codes(found: PullResult) -> set[str]:
    return {flag.code for flag in found.flags}


def reason(quantity: Measured | NotMeasured) -> str:
    assert isinstance(quantity, NotMeasured), quantity
    return quantity.reason


def noisy(seed: int = 1, **truth: object) -> Trace:
    return make_trace(replace(Truth(noise_n=NOISE_N), **truth), seed)  # type: ignore[arg-type]


def saw_teeth(trace: Trace, start: int, tooth: int, depth: float, *, ends: bool = False) -> Trace:
    """From `start` on the force falls by `depth` of itself every `tooth` samples, and rises again."""
    changed = force(trace)
    changed[start:] = changed[start]
    phase = np.arange(len(changed) - start) % tooth
    changed[start:] *= 1.0 - depth * (1.0 - phase / tooth) * (np.arange(len(changed) - start) >= tooth)
    if ends:
        changed[-40:] = 0.0
    return with_force(trace, changed + np.random.default_rng(4).normal(0.0, 0.0005, len(changed)))


@pytest.mark.parametrize("start", [80, 140, 800, 2000])
@pytest.mark.parametrize("depth", [0.1, 0.3])
@pytest.mark.parametrize("end_reason", ["travel_limit", "break", "key"])
def test_saw_teeth_are_a_slip(start: int, depth: float, end_reason: str) -> None:
    found = result(replace(saw_teeth(noisy(breaks=False), start, 50, depth), end_reason=end_reason))
    assert found.outcome == "slipped"
    assert "slipped" in reason(found.elongation_at_break_pct)
    assert found.elongation_reached_pct is not None
    assert found.elongation_reached_pct <= start / 80.0 + 50 / 80.0 + 0.1
    assert value(found.force_max_n) == pytest.approx(float(force(noisy(breaks=False))[start]), rel=0.03)
    assert found.curve is not None
    assert found.curve.strain_pct[-1] == pytest.approx(45.0, abs=0.2)
    assert found.verdict.verdict_class in ("no_verdict", "meets")
    assert (found.verdict.verdict_class == "meets") == (start == 2000)


def test_a_slipping_strand_that_lets_go_at_last_still_slipped() -> None:
    found = result(replace(saw_teeth(noisy(breaks=False), 800, 50, 0.2, ends=True), end_reason="break"))
    assert found.outcome == "slipped"
    assert isinstance(found.stress_at_break_mpa, NotMeasured)


def test_a_strand_that_slides_out_slowly_slipped() -> None:
    clean = noisy(breaks=False)
    changed = force(clean)
    n = len(changed)
    changed[1000:] = changed[1000] * np.linspace(1.0, 0.3, n - 1000)
    found = result(with_force(clean, changed + np.random.default_rng(2).normal(0.0, NOISE_N, n)))
    assert found.outcome == "slipped"
    assert found.elongation_reached_pct is not None
    assert found.elongation_reached_pct < 13.0
    assert found.verdict.verdict_class == "no_verdict"


@pytest.mark.parametrize(("start", "end_reason"), [(60, "travel_limit"), (120, "key"), (160, "")])
def test_a_plateau_as_flat_as_friction_is_a_slip(start: int, end_reason: str) -> None:
    """Held by friction alone the force stays where it is; a strand's own yield region rises."""
    clean = noisy(breaks=False)
    changed = force(clean)
    changed[start:] = changed[start] + np.random.default_rng(5).normal(0.0, NOISE_N, len(changed) - start)
    found = result(replace(with_force(clean, changed), end_reason=end_reason))
    assert found.outcome == "slipped"
    assert found.elongation_reached_pct == pytest.approx(start / 80.0, abs=0.15)
    assert found.verdict.verdict_class == "no_verdict"


def test_a_slide_that_ends_with_the_strand_out_of_its_clamp_is_no_break() -> None:
    clean = noisy()
    changed = force(clean)
    changed[1000:3600] = changed[1000] * np.linspace(1.0, 0.6, 2600)
    found = result(with_force(clean, changed + np.random.default_rng(2).normal(0.0, NOISE_N, len(changed))))
    assert found.outcome == "slipped"


@pytest.mark.parametrize("plateau_mpa", [20.0, 30.0, 45.0, 60.0])
@pytest.mark.parametrize("reach", [0.12, 0.25, 0.6])
def test_a_strand_that_yields_and_never_breaks_is_no_slip(plateau_mpa: float, reach: float) -> None:
    """Wet hair yields at 20-30 MPa a unit strain and an elastic 1.2-1.7 GPa, dry hair at 40-60 and 3-4 GPa."""
    modulus = 1200.0 if plateau_mpa < 40.0 else 3800.0
    top = modulus * 0.025
    knots = ((0.0, 0.0), (0.025, top), (reach, top + plateau_mpa * (reach - 0.025)))
    found = result(noisy(breaks=False, knots=knots, rounding=0.004))
    assert found.outcome == "no_break"


def test_slow_decline_while_the_stage_stands_is_no_slip() -> None:
    clean = noisy(breaks=False)
    assert clean.extension_mm is not None
    still = clean.extension_mm.copy()
    still[1800:] = still[1800]
    changed = force(clean)
    changed[1800:] = changed[1800] * np.linspace(1.0, 0.6, len(changed) - 1800)
    found = result(replace(with_force(clean, changed), extension_mm=still))
    assert found.outcome == "no_break"


def test_broke_at_the_clamp_as_the_person_says() -> None:
    found = result(marked(noisy(), "clamp_break", 3600))
    assert found.outcome == "clamp_break"
    assert "clamp" in reason(found.elongation_at_break_pct)
    assert isinstance(found.force_at_break_n, NotMeasured)
    assert found.elongation_reached_pct == pytest.approx(45.0, abs=0.06)
    assert found.verdict.verdict_class == "meets"
    early = result(marked(noisy(knots=((0.0, 0.0), (0.02, 80.0), (0.12, 86.0))), "clamp_break", 900))
    assert early.verdict.verdict_class == "no_verdict"


@pytest.mark.parametrize(
    ("end_reason", "outcome"),
    [
        ("travel_limit", "no_break"),
        ("done", "no_break"),
        ("limit_switch", "no_break"),
        ("force_limit", "stopped"),
        ("key", "stopped"),
        ("emergency_stop", "stopped"),
        ("silence", "stopped"),
        ("link_lost", "stopped"),
        ("board_reset", "stopped"),
        ("sensor_fault", "stopped"),
        ("error", "stopped"),
    ],
)
def test_never_broke_or_was_stopped(end_reason: str, outcome: str) -> None:
    found = result(replace(only(noisy(breaks=False), slice(0, 1200)), end_reason=end_reason))
    assert found.outcome == outcome
    assert found.elongation_reached_pct == pytest.approx(15.0, abs=0.1)
    assert "15.0 %" in reason(found.elongation_at_break_pct)
    assert isinstance(found.work_to_break_uj, NotMeasured)
    assert value(found.force_max_n) > 0.3
    assert value(found.yield_strain_pct) == pytest.approx(2.0, abs=0.05)
    assert found.verdict.verdict_class == "no_verdict"
    assert found.verdict.probability_meets is None


def test_a_cut_recording_is_stopped_and_incomplete() -> None:
    found = result(replace(only(noisy(breaks=False), slice(0, 1200)), end_reason="", complete=False))
    assert found.outcome == "stopped"
    assert "incomplete" in codes(found)
    assert not found.complete


@pytest.mark.parametrize("as_table", [False, True])
@pytest.mark.parametrize("ceiling_n", [0.6, 0.37, 0.2, 0.05])
def test_no_stress_from_a_flat_top(ceiling_n: float, as_table: bool) -> None:
    clean = make_trace(Truth(noise_n=0.0005), 3, as_table=as_table)
    found = result(cut_off_at(clean, ceiling_n))
    assert found.outcome == "broke"
    assert "saturated" in codes(found)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.08)
    for name in (
        "force_max_n",
        "force_at_break_n",
        "stress_at_break_mpa",
        "work_to_break_mj_m3",
        "work_to_break_uj",
    ):
        assert "flat top" in reason(getattr(found, name))
    assert isinstance(found.post_yield_strain_pct, NotMeasured) == (ceiling_n < 0.5)
    assert isinstance(found.yield_strain_pct, NotMeasured) == (ceiling_n < 0.3)
    assert isinstance(found.work_to_20pct_mj_m3, NotMeasured) == (ceiling_n < 0.34)
    assert value(found.initial_modulus_gpa) == pytest.approx(4.0, rel=0.02 if ceiling_n > 0.1 else 0.05)


def test_readings_that_the_board_calls_saturated() -> None:
    clean = noisy()
    assert clean.flags is not None
    said = clean.flags.copy()
    said[2000:3500] = 1 << 6
    found = result(replace(clean, flags=said))
    assert "saturated" in codes(found)
    assert isinstance(found.force_max_n, NotMeasured)


@pytest.mark.parametrize(("start", "stop"), [(60, None), (800, None), (2500, None), (3300, 3660), (800, 2000)])
def test_a_frozen_channel_spoils_the_pull(start: int, stop: int | None) -> None:
    clean = noisy()
    found = result(frozen(clean, start, stop or len(force(clean))))
    assert found.outcome == "bad_test"
    assert "frozen" in codes(found)
    assert found.elongation_reached_pct is None
    assert found.verdict.verdict_class == "no_verdict"
    assert all("froze" in reason(getattr(found, name)) for name in QUANTITIES)


def test_a_channel_dead_from_the_start() -> None:
    clean = noisy()
    found = result(with_force(clean, np.full(len(force(clean)), 0.0123)))
    assert found.outcome == "bad_test"
    assert "frozen" in codes(found)


def test_a_short_freeze_is_left_out() -> None:
    found = result(frozen(noisy(), 1200, 1420))
    assert found.outcome == "broke"
    assert "frozen" in codes(found)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_a_coarse_scale_repeats_itself_without_being_frozen() -> None:
    for step_n in (0.001, 0.005, 0.01):
        clean = make_trace(Truth(rate_hz=80.0), as_table=True)
        found = result(with_force(clean, np.round(force(clean) / step_n) * step_n))
        assert found.outcome == "broke"
        assert not codes(found) & {"frozen", "saturated"}, step_n


@pytest.mark.parametrize("as_table", [False, True])
@pytest.mark.parametrize("tension_n", [0.08, 0.2])
def test_a_zero_taken_under_tension(tension_n: float, as_table: bool) -> None:
    """The strand is stretched when the force is zeroed: the level after the break is the true zero.

    What the clamps then hold is 30 mm of a strand already strained: elongation counts from its length at no force.
    """
    taut_strain = tension_n / (4000.0 * Truth().area_um2 * 1e-6)
    clean = make_trace(
        Truth(slack_mm=-30.0 * taut_strain / (1.0 + taut_strain), zero_error_n=-tension_n, noise_n=0.0005),
        4,
        as_table=as_table,
    )
    assert force(clean)[:5].mean() == pytest.approx(0.0, abs=0.01)
    found = result(clean)
    assert "zero_under_tension" in codes(found)
    assert value(found.force_max_n) == pytest.approx(0.7697, abs=0.003)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.1)
    assert value(found.stress_at_break_mpa) == pytest.approx(200.0, rel=0.01)
    assert value(found.yield_stress_mpa) == pytest.approx(80.0, rel=0.03)


def test_a_zero_that_is_off_in_a_whole_table_is_put_right_only_where_it_is_large() -> None:
    for offset, put_right in ((-0.2, True), (-0.02, False)):
        found = result(make_trace(Truth(zero_error_n=offset, noise_n=0.0005), 5, as_table=True))
        assert ("zero_under_tension" in codes(found)) == put_right
        wanted = 0.7697 if put_right else 0.7697 + offset
        assert value(found.force_max_n) == pytest.approx(wanted, abs=0.003)


def test_drift_is_told_and_carried() -> None:
    found = result(noisy(drift_n_per_s=0.0004))
    assert codes(found) == {"zero_moved"}
    assert abs(value(found.force_max_n) - 0.7697) < 2.0 * found.force_max_n.u  # type: ignore[union-attr]


def test_without_any_zero_the_level_after_the_break_is_the_zero() -> None:
    offset = make_trace(Truth(noise_n=0.0005, zero_error_n=0.3), 6)
    found = result(replace(offset, u_zero_n=None, marks=()))
    assert value(found.force_max_n) == pytest.approx(0.7697, abs=0.003)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_counts_without_a_calibration_still_show_the_elongation() -> None:
    for sign in (1, -1):
        clean = noisy()
        assert clean.counts is not None
        bare = replace(
            clean,
            force_n=None,
            force_calibration=None,
            force_resolution_n=None,
            u_zero_n=None,
            counts=sign * clean.counts + 77_000,
        )
        found = result(bare)
        assert found.outcome == "broke"
        assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)
        assert value(found.yield_strain_pct) == pytest.approx(2.0, abs=0.03)
        assert "weights" in reason(found.force_max_n)
        assert "weights" in reason(found.initial_modulus_gpa)
        assert found.verdict.verdict_class == "meets"


def test_without_an_extension_there_is_no_strain_but_there_is_force() -> None:
    found = result(replace(noisy(), extension_mm=None, extension_calibration=None))
    assert found.outcome == "broke"
    assert value(found.force_max_n) == pytest.approx(0.7697, abs=0.007)
    assert "position" in reason(found.elongation_at_break_pct)
    assert "position" in reason(found.work_to_break_uj)
    assert found.elongation_reached_pct is None
    assert found.verdict.verdict_class == "no_verdict"
    assert found.curve is None


def test_without_a_gauge_length_the_reason_says_what_to_pass() -> None:
    for specimen in (None, replace(noisy().specimen, gauge_length_mm=0.0)):  # type: ignore[type-var]
        found = result(replace(noisy(), specimen=specimen))
        assert "--gauge-length-mm" in reason(found.elongation_at_break_pct)
        assert value(found.work_to_break_uj) > 0.0
        assert found.verdict.verdict_class == "no_verdict"


def test_no_force_at_all() -> None:
    found = result(replace(noisy(), force_n=None, counts=None))
    assert found.outcome == "bad_test"
    assert "no force" in reason(found.force_max_n)


@pytest.mark.parametrize("n", [0, 1, 2, 5, 7])
def test_too_few_points(n: int) -> None:
    found = result(only(make_trace(Truth(rate_hz=1.0), as_table=True), slice(0, n)))
    assert found.outcome == "bad_test"
    assert "at least 8 are needed" in reason(found.elongation_at_break_pct)


def test_a_break_after_four_points() -> None:
    trace = make_trace(Truth(rate_hz=80.0), as_table=True)
    found = result(only(trace, np.r_[0, 2800, 3200, 3600, 3605:3680]))
    assert found.outcome == "bad_test"
    assert "only 4 points before the break; at least 8 are needed" in reason(found.elongation_at_break_pct)


def test_few_points_give_an_elongation_but_no_modulus() -> None:
    found = result(make_trace(Truth(rate_hz=0.5, after_s=8.0), as_table=True))
    assert found.outcome == "broke"
    assert value(found.elongation_at_break_pct) == pytest.approx(44.0, abs=1e-6)
    assert "between two readings" in reason(found.initial_modulus_gpa)


@pytest.mark.parametrize("scale", [0.0, 1.0])
def test_empty_clamps(scale: float) -> None:
    rng = np.random.default_rng(8)
    clean = noisy()
    found = result(
        with_force(clean, scale * rng.normal(0.0, 0.002, len(force(clean))) + 1e-9 * rng.normal(size=3681))
    )
    assert found.outcome == "bad_test"
    assert found.verdict.verdict_class == "no_verdict"


def test_time_that_runs_backwards_is_told_and_not_used() -> None:
    clean = noisy()
    assert clean.time_s is not None
    wrong = clean.time_s.copy()
    wrong[1500:] -= 10.0
    found = result(replace(clean, time_s=wrong))
    assert "time_order" in codes(found)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_repeated_stamps_and_unequal_steps_are_no_gap() -> None:
    clean = noisy(rate_hz=1000.0)
    assert clean.time_s is not None
    coarse = np.floor(clean.time_s * 200.0) / 200.0
    assert codes(result(replace(clean, time_s=coarse))) == set()


def test_holes_in_a_table() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 7, as_table=True)
    holes = force(clean)
    holes[[10, 500, 2000]] = np.nan
    found = result(replace(clean, force_n=holes))
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_what_stands_before_the_start_of_the_pull_does_not_count() -> None:
    clean = noisy()
    rng = np.random.default_rng(2)
    before = 300
    assert clean.extension_mm is not None
    jog = np.concatenate((np.linspace(0.0, 5.0, 150), np.linspace(5.0, 2.0, 150)))
    n = before + len(force(clean))
    early = replace(
        clean,
        time_s=np.arange(n) / 80.0,
        force_n=np.concatenate((rng.normal(0.0, NOISE_N, before), force(clean))),
        extension_mm=np.concatenate((jog, clean.extension_mm + 2.0)),
        counts=np.zeros(n, dtype=np.int64),
        flags=np.zeros(n, dtype=np.int64),
        full_scale_counts=None,
    )
    found = result(marked(early, "started", before))
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)
    assert found.curve is not None
    assert found.curve.source_index[0] >= before


def test_a_position_that_counts_down() -> None:
    clean = noisy()
    assert clean.extension_mm is not None
    found = result(replace(clean, extension_mm=40.0 - clean.extension_mm))
    assert codes(found) == {"direction"}
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_the_rows_that_a_table_reader_left_out_are_told() -> None:
    trace = replace(make_trace(Truth(), as_table=True), notes=(("summary_row", "the last row is a summary"),))
    assert codes(result(trace)) == {"summary_row"}


def test_every_pull_gives_every_key_and_no_nan() -> None:
    """Whatever goes wrong, the object has all its keys and only finite numbers."""
    rng = np.random.default_rng(11)
    for seed in range(60):
        n = int(rng.integers(0, 200))
        trace = Trace(
            name="noise",
            time_s=None,
            force_n=rng.normal(0.0, 1.0, n).cumsum() * rng.choice([1e-3, 1.0, 1e6]),
            extension_mm=np.sort(rng.uniform(0.0, 10.0, n)) if seed % 3 else rng.uniform(0.0, 1.0, n),
            specimen=noisy().specimen if seed % 4 else None,
        )
        found = result(trace)
        for name in QUANTITIES:
            quantity = getattr(found, name)
            if isinstance(quantity, Measured):
                assert np.isfinite(quantity.value), (seed, name)
                assert np.isfinite(quantity.u), (seed, name)
                assert quantity.u >= 0.0
            else:
                assert len(quantity.reason) > 10
        assert found.elongation_reached_pct is None or np.isfinite(found.elongation_reached_pct)
