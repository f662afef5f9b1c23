"""Stretch and return, proof and hold in closed form: every result within its uncertainty."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.guideline import load_guideline
from analysis.kinds.door import analyse_kind
from analysis.kinds.phases import KINDS, parts_of, phased
from analysis.kinds.recovery import QUANTITIES
from analysis.kinds.result import KindResult
from analysis.results import Measured, NotMeasured, PullResult
from analysis.trace import Trace
from recordings.format import Mark
from tests.analysis.kinds.loops import Loop, drawn, make_loop

GUIDELINE = load_guideline(None)
SEEDS = 40


def analysed(trace: Trace) -> tuple[PullResult, KindResult]:
    result = analyse_kind(trace, GUIDELINE)
    assert isinstance(result.part, KindResult)
    return result, result.part


def value(part: KindResult, name: str) -> Measured:
    found = part.quantities[name]
    assert isinstance(found, Measured), (name, found)
    return found


def reason(part: KindResult, name: str) -> str:
    found = part.quantities[name]
    assert isinstance(found, NotMeasured), (name, found)
    return found.reason


def test_exact_loop() -> None:
    """Nothing spoils it but the whole steps of the stage: a few micrometres in 30 mm."""
    loop = Loop(noise_n=1e-7, slack_mm=0.4)
    _, part = analysed(make_loop(loop))
    for name, truth in loop.truth.items():
        assert value(part, name).value == pytest.approx(truth, rel=2e-3, abs=0.02), name


@pytest.mark.parametrize(
    "loop",
    [
        Loop(),
        Loop(noise_n=5e-4),
        Loop(lag_readings=1),
        Loop(drift_n_per_s=2e-5),
        Loop(rate_hz=10.0, noise_n=2e-4),
        Loop(steep=0.7, power=12.0),
        Loop(hold_s=0.0, relaxed=0.0),
    ],
    ids=["quiet", "noisy", "late", "drifting", "slow readings", "much hysteresis", "no hold"],
)
def test_truth_within_the_uncertainty(loop: Loop) -> None:
    off: dict[str, list[float]] = {name: [] for name in QUANTITIES}
    for seed in range(SEEDS):
        one = drawn(loop, seed)
        _, part = analysed(make_loop(one, seed))
        for name, truth in one.truth.items():
            found = value(part, name)
            off[name].append((found.value - truth) / found.u)
    covered = {name: float(np.mean(np.abs(z) < 2.0)) for name, z in off.items()}
    assert min(covered.values()) >= 0.85, covered
    assert max(abs(float(np.mean(z))) for z in off.values()) < 1.1


def test_an_amplifier_at_the_end_of_its_stated_lag() -> None:
    """Nobody says how late it is, so it counts as up to two readings: at the very end the truth is still near."""
    loop = drawn(Loop(lag_readings=2), 3)
    _, part = analysed(make_loop(loop, 3))
    for name, truth in loop.truth.items():
        found = value(part, name)
        assert abs(found.value - truth) < 3.0 * found.u, name


def test_definitions_hang_together() -> None:
    _, part = analysed(make_loop(Loop()))
    reached, at_once = value(part, "strain_reached_pct").value, value(part, "set_at_once_pct").value
    assert value(part, "recovery_at_once_pct").value == pytest.approx(100.0 * (1.0 - at_once / reached), rel=1e-6)
    delayed = value(part, "recovery_after_rest_pct").value - value(part, "recovery_at_once_pct").value
    assert value(part, "recovery_delayed_pct").value == pytest.approx(delayed)
    done, back = value(part, "work_done_uj").value, value(part, "work_given_back_uj").value
    assert value(part, "work_lost_pct").value == pytest.approx(100.0 * (1.0 - back / done))


def test_the_contract_object_and_what_the_kind_adds() -> None:
    result, part = analysed(make_loop(Loop()))
    told = json.loads(json.dumps(result.to_json(), allow_nan=False))
    assert told["kind"] == "stretch_return"
    assert set(told["stretch_return"]) == {*QUANTITIES, "hold_s", "rest_s", "statement"}
    assert told["outcome"] == "no_break"
    assert told["verdict"]["class"] == "meets"
    assert "at least" in told["verdict"]["statement"]
    assert "kept whole" in told["elongation_at_break_pct"]["not_measured"]
    assert told["elongation_reached_pct"] == pytest.approx(20.5, abs=0.1)
    assert "safe" not in part.statement + told["verdict"]["statement"]


@pytest.mark.parametrize("kind", KINDS)
def test_loading_part_is_analysed_as_a_pull(kind: str) -> None:
    loop = Loop()
    result, part = analysed(make_loop(loop, kind=kind))
    assert part.kind == kind
    assert isinstance(result.yield_strain_pct, Measured)
    assert value(part, "strain_reached_pct").value == pytest.approx(20.5, abs=0.05)


def test_relaxation_of_a_hold() -> None:
    for seed in range(10):
        loop = drawn(Loop(hold_s=60.0, relaxed=0.18, tau_s=25.0), seed)
        _, part = analysed(make_loop(loop, seed, kind="hold"))
        half, lost = value(part, "half_time_s"), value(part, "force_lost_pct")
        assert part.facts["law"] == "exponential"
        assert abs(half.value - 25.0 * math.log(2.0)) < 2.5 * half.u
        assert lost.value == pytest.approx(18.0 * (1.0 - math.exp(-60.0 / 25.0)), abs=0.1)
        assert value(part, "force_left_n").value == pytest.approx(loop.top_n * 0.82, rel=5e-3)


def test_stretched_relaxation_of_a_hold() -> None:
    loop = Loop(hold_s=120.0, relaxed=0.3, tau_s=10.0, exponent=0.5, noise_n=2e-5)
    _, part = analysed(make_loop(loop, 2, kind="hold"))
    half = value(part, "half_time_s")
    assert part.facts["law"] == "stretched exponential"
    assert abs(half.value - 10.0 * math.log(2.0) ** 2) < 3.0 * half.u
    assert value(part, "exponent").value == pytest.approx(0.5, abs=0.03)


def test_hold_too_short_for_its_half_time() -> None:
    _, part = analysed(make_loop(Loop(hold_s=12.0, relaxed=0.18, tau_s=400.0), kind="hold"))
    assert "hold for longer" in reason(part, "half_time_s")
    assert isinstance(part.quantities["force_at_end_n"], Measured)


def test_proof_carries_and_comes_back() -> None:
    loop = Loop()
    result, part = analysed(make_loop(loop, kind="proof"))
    assert value(part, "force_reached_n").value == pytest.approx(loop.top_n, rel=5e-3)
    assert value(part, "work_done_uj").value == pytest.approx(loop.truth["work_done_uj"], rel=5e-3)
    assert "at least" in part.statement
    assert result.outcome == "no_break"


@pytest.mark.parametrize("upto", ["stretch", "hold", "return", "rest", "stretch_again"])
def test_pull_that_was_stopped_early_says_what_is_missing(upto: str) -> None:
    trace = replace(make_loop(Loop(), upto=upto), end_reason="key")
    result, part = analysed(trace)
    assert result.outcome in ("no_break", "stopped")
    if upto in ("stretch", "hold"):
        assert f"ended in the phase '{upto}'" in reason(part, "set_at_once_pct")
    elif upto in ("return", "rest"):
        assert value(part, "set_at_once_pct").value == pytest.approx(1.4, abs=0.1)
        assert f"ended in the phase '{upto}'" in reason(part, "set_after_rest_pct")
    else:
        assert value(part, "set_after_rest_pct").value == pytest.approx(0.9, abs=0.05)


def test_strand_that_is_still_taut_when_the_stage_is_back() -> None:
    trace = make_loop(Loop())
    back = [part for part in parts_of(trace) if part.name in ("return", "rest")]
    assert trace.force_n is not None
    force = trace.force_n.copy()
    under_tension = 0.08 + np.random.default_rng(1).normal(0.0, 5e-5, force.size)
    force[back[0].start :] = np.maximum(force, under_tension)[back[0].start :]
    _, part = analysed(replace(trace, force_n=force))
    assert "mount the strand with a little slack" in reason(part, "set_at_once_pct")
    assert "mount the strand with a little slack" in reason(part, "recovery_after_rest_pct")
    assert isinstance(part.quantities["strain_reached_pct"], Measured)


def test_zero_that_was_taken_under_tension() -> None:
    loop = Loop(zero_n=-0.05)
    result, part = analysed(make_loop(loop))
    assert "zero_under_tension" in [flag.code for flag in result.flags]
    assert value(part, "set_after_rest_pct").value == pytest.approx(0.9, abs=0.05)
    assert value(part, "force_reached_n").value == pytest.approx(loop.top_n, rel=0.01)


def test_force_that_never_rises_again() -> None:
    trace = make_loop(Loop())
    again = next(part for part in parts_of(trace) if part.name == "stretch_again")
    assert trace.force_n is not None
    force = trace.force_n.copy()
    force[again.start :] = np.random.default_rng(1).normal(0.0, 5e-5, force.size - again.start)
    _, part = analysed(replace(trace, force_n=force))
    assert "did not rise again" in reason(part, "set_after_rest_pct")
    assert isinstance(part.quantities["set_at_once_pct"], Measured)


def broken_in(name: str) -> Trace:
    """The strand breaks in the middle of a phase: the force falls to nothing and the pull ends."""
    trace = make_loop(Loop(hold_s=10.0))
    part = next(part for part in parts_of(trace) if part.name == name)
    cut = (part.start + part.stop) // 2
    if name == "return":
        cut = part.start + 100
    assert trace.force_n is not None
    force = trace.force_n[: cut + 40].copy()
    force[cut:] = np.random.default_rng(2).normal(0.0, 5e-5, 40)
    marks = tuple(m for m in trace.marks if m.row <= cut)
    assert trace.time_s is not None
    assert trace.extension_mm is not None
    assert trace.counts is not None
    assert trace.flags is not None
    stop = cut + 40
    return replace(
        trace,
        time_s=trace.time_s[:stop],
        force_n=force,
        extension_mm=trace.extension_mm[:stop],
        counts=np.rint(force / 1e-8).astype(np.int64),
        flags=trace.flags[:stop],
        marks=(*marks, Mark("break_seen", stop)),
        end_reason="break",
    )


def test_break_in_the_stretch_is_a_pull_to_the_break() -> None:
    result = analyse_kind(broken_in("stretch"), GUIDELINE)
    assert result.outcome == "broke"
    assert result.part is None
    assert isinstance(result.elongation_at_break_pct, Measured)
    assert result.verdict.verdict_class == "below"


def test_break_in_the_hold_is_a_pull_to_the_break() -> None:
    result = analyse_kind(broken_in("hold"), GUIDELINE)
    assert result.outcome == "broke"
    assert isinstance(result.elongation_at_break_pct, Measured)
    assert result.elongation_at_break_pct.value == pytest.approx(20.5, abs=0.1)


def test_break_on_the_way_back_has_no_elongation_and_no_verdict() -> None:
    result = analyse_kind(broken_in("return"), GUIDELINE)
    assert result.outcome == "broke"
    assert isinstance(result.elongation_at_break_pct, NotMeasured)
    assert result.verdict.verdict_class == "no_verdict"
    assert "did not come back" in result.verdict.statement
    assert "broke_later" in [flag.code for flag in result.flags]


def test_recording_without_phases_or_without_newtons() -> None:
    trace = make_loop(Loop())
    assert analyse_kind(replace(trace, marks=()), GUIDELINE).part is None
    counts_only = analyse_kind(replace(trace, force_n=None, force_calibration=None), GUIDELINE)
    assert isinstance(counts_only.force_max_n, NotMeasured)
    no_gauge = analyse_kind(replace(trace, specimen=None), GUIDELINE)
    assert isinstance(no_gauge.part, KindResult)
    assert isinstance(no_gauge.part.quantities["set_at_once_pct"], NotMeasured)


def test_incomplete_recording_says_so() -> None:
    result = analyse_kind(replace(make_loop(Loop()), complete=False), GUIDELINE)
    assert not result.complete
    assert "incomplete" in [flag.code for flag in result.flags]


def test_parts_follow_the_marks() -> None:
    found = phased(make_loop(Loop()))
    names = ["stretch", "hold", "return", "rest", "stretch_again", "let_go"]
    assert [part.name for part in found.parts] == names
    assert found.slack_after
    assert all(a.stop == b.start for a, b in zip(found.parts[:-1], found.parts[1:], strict=True))
