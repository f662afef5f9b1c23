"""Where the strand broke: at every rate, with glitches at every place, with gaps, smeared, in parts, in steps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.analyse import analyse
from analysis.guideline import Guideline
from analysis.results import NotMeasured, PullResult
from analysis.synthetic import Truth, make_trace
from analysis.trace import Trace
from tests.analysis.curves import value
from tests.analysis.spoil import force, marked, only, with_force, with_glitch, without

GUIDELINE = Guideline()
NOISE_N = 0.002


def result(trace: Trace) -> PullResult:
    return analyse(trace, GUIDELINE)


def codes(found: PullResult) -> set[str]:
    return {flag.code for flag in found.flags}


def last_before_fall(trace: Trace) -> int:
    """Index of the highest force of a noise-free pull, which is the last one before it breaks."""
    return int(np.argmax(force(trace)))


@pytest.mark.parametrize("as_table", [False, True])
@pytest.mark.parametrize("rate_hz", [10.0, 80.0, 320.0, 5000.0])
@pytest.mark.parametrize("noise_n", [0.0, NOISE_N])
def test_every_rate(rate_hz: float, noise_n: float, as_table: bool) -> None:
    """One sample at 10 Hz is 0.1 % strain; the break is never found further than that and a little noise away."""
    found = result(make_trace(Truth(rate_hz=rate_hz, noise_n=noise_n), 1, as_table=as_table))
    assert found.outcome == "broke"
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06 + 1.0 / rate_hz)
    assert codes(found) == set()


@pytest.mark.parametrize("break_pct", [0.8, 1.9, 2.5, 8.0, 20.0, 33.0])
def test_every_region(break_pct: float) -> None:
    """Strands that break in the elastic, the yield and the post-yield region, and at the bends."""
    e = break_pct / 100.0
    knots = [k for k in ((0.0, 0.0), (0.02, 80.0), (0.30, 95.0), (0.45, 200.0)) if k[0] < e]
    height = float(np.interp(e, [0.0, 0.02, 0.30, 0.45], [0.0, 80.0, 95.0, 200.0]))
    found = result(make_trace(Truth(knots=(*knots, (e, height)), noise_n=0.001), 3))
    assert found.outcome == "broke"
    assert value(found.elongation_at_break_pct) == pytest.approx(break_pct, abs=0.06)
    assert isinstance(found.yield_strain_pct, NotMeasured) == (break_pct < 2.0)
    assert isinstance(found.post_yield_strain_pct, NotMeasured) == (break_pct < 30.0)


def _places(trace: Trace) -> list[int]:
    top = last_before_fall(trace)
    return [
        0,
        1,
        2,
        5,
        40,
        160,
        400,
        1500,
        top - 2,
        top - 1,
        top + 1,
        top + 2,
        top + 3,
        top + 10,
        len(force(trace)) - 1,
    ]


@pytest.mark.parametrize("height_n", [3.0, -3.0])
@pytest.mark.parametrize("as_table", [False, True])
def test_a_full_scale_glitch_at_any_place(height_n: float, as_table: bool) -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 5, as_table=as_table)
    wanted = result(clean)
    for place in _places(clean):
        if place == len(force(clean)) - 1 and height_n < 0.0:
            continue
        found = result(with_glitch(clean, place, height_n))
        assert found.outcome == "broke", place
        assert codes(found) == {"glitch"}, place
        assert value(found.elongation_at_break_pct) == pytest.approx(
            value(wanted.elongation_at_break_pct), abs=0.03
        )
        assert value(found.force_max_n) == pytest.approx(value(wanted.force_max_n), abs=3.0 * NOISE_N), place
        assert value(found.initial_modulus_gpa) == pytest.approx(value(wanted.initial_modulus_gpa), rel=0.02), place


def test_a_glitch_in_place_of_the_last_reading_before_the_break() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 5)
    top = last_before_fall(make_trace(Truth()))
    found = result(with_glitch(clean, top))
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)
    assert "glitch" in codes(found)


def test_many_glitches() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 6)
    changed = force(clean)
    changed[[3, 50, 90, 91, 500, 900, 1800, 3000, 3590]] = 3.0
    found = result(with_force(clean, changed))
    assert codes(found) == {"glitch"}
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)
    assert value(found.force_max_n) == pytest.approx(0.7697, abs=0.006)


def test_a_gap_across_the_break_widens_the_uncertainty_and_covers_it() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 7)
    top = last_before_fall(make_trace(Truth()))
    found = result(without(clean, top - 15, top + 20))
    assert found.outcome == "broke"
    assert "gap" in codes(found)
    low = value(found.elongation_at_break_pct)
    assert low < 45.0
    assert abs(low - 45.0) < 2.0 * found.elongation_at_break_pct.u  # type: ignore[union-attr]
    whole = result(clean).elongation_at_break_pct
    assert found.elongation_at_break_pct.u > np.hypot(whole.u, 0.15)  # type: ignore[union-attr]


def test_a_gap_in_a_table_without_time() -> None:
    clean = replace(make_trace(Truth(noise_n=NOISE_N), 7, as_table=True), time_s=None)
    assert codes(result(clean)) == set()
    assert codes(result(without(clean, 2000, 2034))) == {"gap"}


def test_a_gap_elsewhere_changes_nothing() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 8)
    found = result(without(clean, 1000, 1034))
    assert codes(found) == {"gap"}
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)
    assert value(found.yield_strain_pct) == pytest.approx(2.0, abs=0.03)


def test_a_gap_that_only_the_recorder_or_the_board_noted() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 8)
    assert clean.flags is not None
    assert codes(result(marked(clean, "gap", 900, lost=3))) == {"gap"}
    dropped = clean.flags.copy()
    dropped[900] = 1 << 7
    assert codes(result(replace(clean, flags=dropped))) == {"gap"}


@pytest.mark.parametrize("lag_s", [0.025, 0.1])
@pytest.mark.parametrize("rate_hz", [80.0, 320.0])
def test_a_smeared_break(lag_s: float, rate_hz: float) -> None:
    """The amplifier's filter delays the curve and smears the fall: the delay is read off the fall and taken out."""
    found = result(make_trace(Truth(lag_s=lag_s, rate_hz=rate_hz, slack_mm=0.4, noise_n=0.0005), 9))
    assert found.outcome == "broke"
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.03)
    assert "partial_break" not in codes(found)


@pytest.mark.parametrize("residue", [0.15, 0.3, 0.45, 0.6, 0.7])
@pytest.mark.parametrize("as_table", [False, True])
def test_a_partial_break_keeps_part_of_its_load(residue: float, as_table: bool) -> None:
    found = result(make_trace(Truth(residue=residue, noise_n=NOISE_N), 10, as_table=as_table))
    assert found.outcome == "broke"
    assert "partial_break" in codes(found)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_two_strands_break_one_after_the_other() -> None:
    first = make_trace(Truth(knots=((0.0, 0.0), (0.02, 80.0), (0.30, 95.0), (0.36, 137.0)), after_s=10.0))
    second = make_trace(Truth(after_s=0.2))
    n = min(len(force(first)), len(force(second)))
    both = with_force(only(second, slice(0, n)), force(first)[:n] + force(second)[:n])
    found = result(both)
    assert found.outcome == "broke"
    assert "partial_break" in codes(found)
    assert value(found.elongation_at_break_pct) == pytest.approx(36.0, abs=0.06)


def test_the_return_stroke_of_another_program_is_no_break() -> None:
    """The stage goes back after the break, or without one: a force that falls with the extension is no break."""
    whole = make_trace(Truth(noise_n=NOISE_N), 11, as_table=True)
    assert whole.extension_mm is not None
    back = np.linspace(whole.extension_mm[-1], 0.0, 900)
    returned = replace(
        whole,
        force_n=np.concatenate((force(whole), np.random.default_rng(1).normal(0.0, NOISE_N, 900))),
        extension_mm=np.concatenate((whole.extension_mm, back)),
        time_s=np.arange(len(force(whole)) + 900) / 80.0,
    )
    found = result(returned)
    assert (found.outcome, codes(found)) == ("broke", set())
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_stretch_and_return_without_a_break() -> None:
    out = make_trace(Truth(breaks=False, noise_n=NOISE_N), 12)
    n = 1601
    assert out.extension_mm is not None
    up = only(out, slice(0, n))
    down = only(out, np.arange(n - 2, -1, -1))
    assert up.extension_mm is not None
    assert down.extension_mm is not None
    both = replace(
        up,
        force_n=np.concatenate((force(up), force(down) * 0.6)),
        extension_mm=np.concatenate((up.extension_mm, down.extension_mm)),
        time_s=np.arange(2 * n - 1) / 80.0,
        counts=np.zeros(2 * n - 1, dtype=np.int64),
        flags=np.zeros(2 * n - 1, dtype=np.int64),
        full_scale_counts=None,
        end_reason="done",
    )
    found = result(both)
    assert found.outcome == "no_break"
    assert found.elongation_reached_pct == pytest.approx(20.0, abs=0.1)


def test_a_hold_that_relaxes_is_no_break() -> None:
    """Held at 30 %, the force relaxes by a third within seconds: no fall, however far it goes."""
    pulled = only(make_trace(Truth(breaks=False, noise_n=NOISE_N), 13), slice(0, 2401))
    held = 1600
    relaxed = force(pulled)[-1] * (0.35 + 0.65 * np.exp(-np.arange(held) / 400.0))
    assert pulled.extension_mm is not None
    n = 2401 + held
    found = result(
        replace(
            pulled,
            force_n=np.concatenate((force(pulled), relaxed)),
            extension_mm=np.concatenate((pulled.extension_mm, np.full(held, pulled.extension_mm[-1]))),
            time_s=np.arange(n) / 80.0,
            counts=np.rint(np.concatenate((force(pulled), relaxed)) / 1.5e-7).astype(np.int64),
            flags=np.zeros(n, dtype=np.int64),
            end_reason="done",
        )
    )
    assert found.outcome == "no_break"
    assert found.elongation_reached_pct == pytest.approx(30.0, abs=0.1)
    assert found.verdict.verdict_class == "meets"


def test_a_break_during_a_hold() -> None:
    pulled = only(make_trace(Truth(breaks=False, noise_n=NOISE_N), 14), slice(0, 1201))
    assert pulled.extension_mm is not None
    relaxed = force(pulled)[-1] * (0.8 + 0.2 * np.exp(-np.arange(300) / 400.0))
    found = result(
        replace(
            pulled,
            force_n=np.concatenate((force(pulled), relaxed, np.zeros(60))),
            extension_mm=np.concatenate((pulled.extension_mm, np.full(360, pulled.extension_mm[-1]))),
            time_s=np.arange(1561) / 80.0,
            counts=None,
            flags=None,
        )
    )
    assert found.outcome == "broke"
    assert value(found.elongation_at_break_pct) == pytest.approx(15.0, abs=0.06)


def test_an_early_fall_that_heals_is_not_the_break() -> None:
    clean = make_trace(Truth(), as_table=True)
    changed = force(clean)
    changed[300:380] *= np.linspace(0.62, 1.0, 80)
    found = result(with_force(clean, changed))
    assert found.outcome == "broke"
    assert codes(found) == {"load_drop"}
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_one_reading_after_the_break_is_enough_to_see_it() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 15, as_table=True)
    top = last_before_fall(make_trace(Truth()))
    found = result(only(clean, slice(0, top + 2)))
    assert found.outcome == "broke"
    assert "no_sample_after_break" in codes(found)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_a_recording_that_ends_with_the_break_the_rig_saw() -> None:
    clean = make_trace(Truth(noise_n=NOISE_N), 16)
    top = last_before_fall(make_trace(Truth()))
    found = result(only(clean, slice(0, top + 1)))
    assert found.outcome == "broke"
    assert "no_sample_after_break" in codes(found)
    assert value(found.elongation_at_break_pct) == pytest.approx(45.0, abs=0.06)


def test_a_table_that_ends_under_load_is_censored() -> None:
    clean = make_trace(Truth(breaks=False), as_table=True)
    found = result(clean)
    assert found.outcome == "no_break"
    assert "no_sample_after_break" in codes(found)
    assert isinstance(found.elongation_at_break_pct, NotMeasured)
    assert found.elongation_reached_pct == pytest.approx(45.0, abs=0.06)
