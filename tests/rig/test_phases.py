"""Pulls of several phases: what can be asked for, and that the rig does it in the order the recording tells."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from recordings.format import Recording, Specimen
from recordings.reader import read_recording
from rig.break_detector import BreakDetector
from rig.errors import BadPlan
from rig.outcome import PullOutcome
from rig.phases import LARGEST_SLACK, SEQUENCES, back_speed, longest_mm, ways
from rig.run import run_pull
from rig.snapshot import Phase
from tests.links import simulated
from tests.rig.pulls import Watcher, plan
from tests.rig.test_plan import order

KINDS = tuple(SEQUENCES)
NAMES = {
    "proof": ["tighten", "stretch", "return"],
    "hold": ["tighten", "stretch", "hold", "return"],
    "stretch_return": ["tighten", "stretch", "hold", "return", "rest", "stretch_again", "let_go"],
}


def carried_out(tmp_path: Path, strand: str = "virgin", **method: Any) -> tuple[PullOutcome, Recording, Watcher]:
    stretcher, link = simulated(strand, time_scale=10.0)
    watcher = Watcher()
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, method=method), watcher)
    assert not link.moving
    return outcome, read_recording(outcome.path), watcher


def test_defaults_are_filled_in() -> None:
    made = order(kind="stretch_return").method
    assert (made.target_strain_pct, made.hold_s, made.rest_s, made.pretension_n) == (20.0, 5.0, 120.0, 0.02)
    made = order(kind="hold", target_strain_pct=10.0).method
    assert (made.target_strain_pct, made.hold_s, made.rest_s) == (10.0, 60.0, None)
    made = order(kind="proof", guideline_pct=25.0).method
    assert (made.target_strain_pct, made.hold_s, made.rest_s) == (25.0, None, None)


def test_pull_to_the_break_has_no_phases() -> None:
    assert order().ways is None
    assert order().method.target_strain_pct is None


@pytest.mark.parametrize(
    ("method", "sentence"),
    [
        ({"kind": "proof", "target_strain_pct": 15.0}, "to the guideline and no further"),
        ({"kind": "proof", "hold_s": 5.0}, "'proof' has no hold"),
        ({"kind": "hold", "rest_s": 5.0}, "'hold' has no rest"),
        ({"kind": "hold", "hold_s": 9.0}, "hold of 9 s is not possible: give 10 to 7200 s"),
        ({"kind": "hold", "hold_s": math.nan}, "hold of nan s"),
        ({"kind": "stretch_return", "rest_s": -1.0}, "rest of -1 s"),
        ({"kind": "stretch_return", "rest_s": 1e6}, "rest of 1e"),
        ({"kind": "stretch_return", "target_strain_pct": 0.0}, "stretch to 0 %"),
        ({"kind": "stretch_return", "target_strain_pct": 61.0}, "stretch to 61 %"),
        ({"kind": "hold", "target_strain_pct": math.inf}, "stretch to inf %"),
        ({"kind": "hold", "pretension_n": 0.0}, "pretension of 0 N"),
        ({"kind": "hold", "travel_limit_mm": 6.0}, "travel of 6.0 mm is too short"),
        ({"kind": "pull_to_break", "hold_s": 5.0}, "no strain to stop at"),
        ({"kind": "pull_to_break", "target_strain_pct": 5.0}, "no strain to stop at"),
        ({"kind": "stretch"}, "no kind of pull called 'stretch': choose from pull_to_break, proof, hold"),
    ],
)
def test_what_can_not_be(method: dict[str, Any], sentence: str) -> None:
    with pytest.raises(BadPlan, match=sentence):
        order(**method)


def test_too_little_room_on_the_stage() -> None:
    with pytest.raises(BadPlan, match="move the stage back"):
        order(start=59_500, homed=True, kind="proof")
    assert order(start=56_000, homed=True, kind="proof").ways is not None


@pytest.mark.parametrize("target", [2.0, 20.0, 60.0])
@pytest.mark.parametrize("gauge", [5.0, 30.0, 100.0])
def test_the_longest_way_is_the_one_with_the_most_slack(gauge: float, target: float) -> None:
    """By hand: e (1 + 2 u) (g + s) beyond the slack s, with s a tenth of g."""
    longest = longest_mm(gauge, target, 0.01)
    found = ways(gauge, target, 0.01, longest)
    assert found.slack_mm == pytest.approx(LARGEST_SLACK * gauge)
    assert found.stretched_mm(found.slack_mm) == pytest.approx(longest)
    assert found.stretched_mm(0.0) == pytest.approx(target / 100.0 * 1.02 * gauge)
    assert found.again_mm(0.0) == pytest.approx(found.stretched_mm(0.0) / 2.0)


def test_the_way_back_is_slow_enough_for_slow_readings() -> None:
    assert back_speed(18.0, 30.0, 80.0) == 18.0
    assert back_speed(18.0, 30.0, 10.0) == pytest.approx(9.0)


@pytest.mark.parametrize("kind", KINDS)
def test_the_phases_of_a_kind(tmp_path: Path, kind: str) -> None:
    method = {"kind": kind} | ({"rest_s": 10.0} if kind == "stretch_return" else {})
    outcome, recording, watcher = carried_out(tmp_path, **method)
    assert outcome.end_reason == "done"
    assert outcome.as_planned
    assert recording.complete
    assert recording.header.method.kind == kind
    phases = [mark for mark in recording.marks if mark.kind == "phase"]
    assert [mark.data["name"] for mark in phases] == NAMES[kind]
    assert watcher.phases[:3] == [Phase.ZEROING, Phase.TIGHTENING, Phase.PULLING]
    assert recording.rows.steps[-1] == recording.rows.steps[0]
    for name in ("hold", "rest"):
        seconds = getattr(recording.header.method, f"{name}_s")
        if seconds:
            at = NAMES[kind].index(name)
            rows = range(phases[at].row, phases[at + 1].row)
            assert len({recording.rows.steps[row] for row in rows}) == 1
            took = (recording.rows.t_us[rows[-1]] - recording.rows.t_us[rows[0]]) / 1e6
            assert seconds <= took < seconds + 3.0


@pytest.mark.parametrize("target", [5.0, 20.0, 28.0])
def test_the_strain_asked_for_is_reached_and_hardly_passed(tmp_path: Path, target: float) -> None:
    stretcher, link = simulated(time_scale=10.0)
    with stretcher:
        run_pull(stretcher, plan(tmp_path, method={"kind": "hold", "hold_s": 10.0, "target_strain_pct": target}))
    truth = link.board.truths[-1]
    assert truth.outcome == "intact"
    sure = 2.0 * 0.25 / 30.0 * target
    assert target < 100.0 * truth.furthest_strain < target + sure + 0.5


@pytest.mark.parametrize("strand", ["over-processed", "borderline"])
def test_a_strand_that_breaks_in_the_stretch_ends_the_pull_there(tmp_path: Path, strand: str) -> None:
    outcome, recording, _ = carried_out(tmp_path, strand, kind="stretch_return", target_strain_pct=28.0)
    assert outcome.end_reason == "break"
    assert [m.data["name"] for m in recording.marks if m.kind == "phase"] == ["tighten", "stretch"]


def test_a_strand_that_hangs_too_slack(tmp_path: Path) -> None:
    stretcher, link = simulated(time_scale=10.0, slack_mm=5.0)
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, method={"kind": "proof"}))
    assert outcome.end_reason == "error"
    assert "did not become taut within 3.0 mm" in outcome.message
    assert not link.moving


def test_a_second_pull_of_the_same_strand(tmp_path: Path) -> None:
    stretcher, link = simulated(time_scale=10.0)
    with stretcher:
        for _ in range(2):
            assert run_pull(stretcher, plan(tmp_path, method={"kind": "proof"})).end_reason == "done"
    assert len(link.board.truths) == 1


def test_slow_readings(tmp_path: Path) -> None:
    stretcher, link = simulated(time_scale=10.0, rate_hz=10.0)
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, method={"kind": "hold", "hold_s": 10.0, "speed_mm_min": 18.0}))
    assert outcome.end_reason == "done"
    assert not link.moving


def test_stage_at_its_near_switch_is_refused_before_anything_is_recorded(tmp_path: Path) -> None:
    stretcher, _ = simulated(time_scale=10.0)
    with stretcher:
        stretcher.hold(0.5)
        stretcher.home()
        with pytest.raises(BadPlan, match="a millimetre away from the switch"):
            run_pull(stretcher, plan(tmp_path, method={"kind": "proof"}))
        assert not list(tmp_path.glob("*.pull.csv"))
        stretcher.jog(1.0)
        assert run_pull(stretcher, plan(tmp_path, method={"kind": "proof"})).end_reason == "done"


def test_a_slow_fall_is_no_break_and_a_sudden_one_is() -> None:
    slow, sudden = BreakDetector(0.0, 100.0, within=7), BreakDetector(0.0, 100.0, within=7)
    for n in range(200):
        assert not slow.feed(round(10_000 * 0.96**n))
    for n in range(60):
        sudden.feed(round(10_000 * 0.99**n))
    assert not sudden.seen
    for counts in (5_000, 10, 8, 9, 11, 7):
        sudden.feed(counts)
    assert sudden.seen


def test_one_wild_reading_while_the_force_falls_is_no_break() -> None:
    detector = BreakDetector(0.0, 100.0, within=7)
    for n in range(100):
        assert not detector.feed(0 if n == 50 else round(10_000 * 0.99**n))


def test_specimen_that_can_not_be_is_refused_for_every_kind() -> None:
    for kind in KINDS:
        with pytest.raises(BadPlan, match="gauge length"):
            order(Specimen(3.0), kind=kind)


@pytest.mark.parametrize("speed", [18.0, 60.0, 300.0])
@pytest.mark.parametrize("strand", ["reference-spring", "virgin"])
def test_letting_a_strand_back_is_no_break_however_stiff_and_fast(
    tmp_path: Path, strand: str, speed: float
) -> None:
    """A spring falls to nothing along a straight line, halving within a few readings at its end."""
    method = {"kind": "proof", "speed_mm_min": speed, "guideline_pct": 10.0}
    outcome, recording, _ = carried_out(tmp_path, strand, **method)
    assert outcome.end_reason == "done", outcome.message
    assert recording.rows.steps[-1] == recording.rows.steps[0]


def test_fastest_rise_is_over_as_many_readings_as_a_break_takes() -> None:
    """Seven readings are six steps of 10 counts; the same seven are looked at for a sudden fall."""
    detector = BreakDetector(0.0, 1e9)
    for n in range(100):
        detector.feed(10 * n if n < 50 else 441 + n)
    assert detector.fastest_rise_counts == 60.0
