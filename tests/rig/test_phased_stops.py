"""Every way a pull of several phases can end, in every phase: the motor stands, and the recording survives.

The phases are those of a stretch and return, which has them all; the board is the simulated one in lockstep.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import pytest

from firmware_protocol.vocabulary import HOST_SILENCE_MS
from recordings.format import Recording
from recordings.reader import read_recording
from rig.dialogue import LEASE_S
from rig.outcome import PullOutcome
from rig.run import PullRun
from rig.simulated.mishaps import befall
from rig.simulated.stage import ACCELERATION_STEPS_S2, STEPS_PER_MM
from rig.snapshot import Phase, Snapshot
from tests.links import BoardLink, Choked, Dying, Wrapper, simulated
from tests.rig.pulls import SPEED_MM_MIN, Watcher, plan

PHASES = ("tighten", "stretch", "hold", "return", "rest", "stretch_again", "let_go")
MOVING = tuple(name for name in PHASES if name not in ("hold", "rest"))
METHOD = {"kind": "stretch_return", "hold_s": 2.0, "rest_s": 2.0}
#: From a key to a motor that stands [s], and from the host's last sign of life.
KEY_S = 0.005 + SPEED_MM_MIN / 60.0 * STEPS_PER_MM / ACCELERATION_STEPS_S2
SILENCE_S = HOST_SILENCE_MS / 1000.0 + 0.002
#: So long after a phase began the mishap comes [s of board time]: the motor is at speed by then.
INTO_S = 0.15


class Bench:
    """One stretch and return on a simulated rig, with something done in the middle of a phase."""

    def __init__(
        self,
        tmp_path: Path,
        phase: str,
        wrap: type[Wrapper] = Wrapper,
        into_s: float = INTO_S,
        strand: str = "virgin",
    ) -> None:
        self.wrapped: list[Wrapper] = []

        def put_between(link: BoardLink) -> Wrapper:
            self.wrapped.append(wrap(link))
            return self.wrapped[0]

        self.stretcher, self.link = simulated(strand, wrap=put_between)
        self.done_s = -1.0
        self.run: PullRun
        self._phase, self._into_s = phase, into_s
        self._now, self._since = "", 0.0
        self._directory = tmp_path

    def carry_out(self, do: Callable[[], object]) -> PullOutcome:
        def now() -> None:
            self.done_s = self.link.clock.now_s()
            do()

        watcher = Watcher(self._is_time, now)
        self.run = PullRun(self.stretcher, plan(self._directory, method=METHOD), watcher)
        try:
            with self.stretcher:
                return self.run.run()
        finally:
            assert watcher.done, f"the phase {self._phase} was never reached"

    def mishap(self, fault: str) -> PullOutcome:
        return self.carry_out(lambda: befall(self.link.board.machine, fault, True))

    def _is_time(self, snapshot: Snapshot) -> bool:
        """Whether the phase, by the name that the recording has last, has been going on for long enough."""
        if snapshot.batch is None:  # a phase begins
            (path,) = self._directory.glob("*.pull.csv")
            names = re.findall(r'"mark": "phase".*"name": "(\w+)"', path.read_text(encoding="ascii"))
            self._now, self._since = (names[-1] if names else ""), snapshot.t_s or 0.0
            return False
        return self._now == self._phase and (snapshot.t_s or 0.0) - self._since >= self._into_s


def survived(outcome: PullOutcome, reason: str, phase: str) -> Recording:
    assert outcome.end_reason == reason
    assert outcome.message.endswith(".")
    recording = read_recording(outcome.path)
    assert recording.complete
    assert recording.end is not None
    assert recording.end.reason == reason
    names = [mark.data["name"] for mark in recording.marks if mark.kind == "phase"]
    assert names == list(PHASES[: PHASES.index(phase) + 1])
    return recording


@pytest.mark.parametrize("phase", PHASES)
def test_key(tmp_path: Path, phase: str) -> None:
    bench = Bench(tmp_path, phase)
    outcome = bench.carry_out(lambda: bench.run.request_stop("key"))
    survived(outcome, "key", phase)
    assert outcome.motor_confirmed
    assert bench.link.ran_s - bench.done_s < KEY_S
    assert not bench.link.moving


@pytest.mark.parametrize("phase", PHASES)
def test_ctrl_c(tmp_path: Path, phase: str) -> None:
    def interrupt() -> NoReturn:
        raise KeyboardInterrupt

    bench = Bench(tmp_path, phase)
    survived(bench.carry_out(interrupt), "key", phase)
    assert bench.link.ran_s - bench.done_s < KEY_S
    assert not bench.link.moving


@pytest.mark.parametrize("phase", PHASES)
def test_mistake_of_an_observer(tmp_path: Path, phase: str) -> None:
    def fail() -> NoReturn:
        raise RuntimeError("invented mistake")

    bench = Bench(tmp_path, phase)
    with pytest.raises(RuntimeError, match="invented mistake"):
        bench.carry_out(fail)
    assert bench.link.ran_s - bench.done_s < KEY_S
    assert not bench.link.moving
    (path,) = tmp_path.glob("*.pull.csv")
    assert read_recording(path).complete


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ("emergency-stop", "emergency_stop"),
        ("dead-sensor", "sensor_fault"),
        ("reset", "board_reset"),
        ("hang", "board_reset"),
    ],
)
def test_mishap_on_the_rig(tmp_path: Path, phase: str, fault: str, reason: str) -> None:
    bench = Bench(tmp_path, phase)
    outcome = bench.mishap(fault)
    assert outcome.end_reason == reason
    assert read_recording(outcome.path).complete
    assert not bench.link.moving


@pytest.mark.parametrize("phase", ["tighten", "stretch", "hold", "return", "rest"])
def test_reading_that_freezes(tmp_path: Path, phase: str) -> None:
    """It takes two seconds of one reading to be sure, wherever in the pull they pass."""
    bench = Bench(tmp_path, phase)
    assert bench.mishap("freeze").end_reason == "sensor_fault"
    assert not bench.link.moving


@pytest.mark.parametrize(
    ("phase", "into_s"),
    [("stretch", 1.5), ("hold", 0.3), ("return", 0.3), ("stretch_again", 1.8), ("let_go", 0.1)],
)
def test_break(tmp_path: Path, phase: str, into_s: float) -> None:
    """A strand that breaks while it carries load ends the pull as broke, whether or not the motor ran."""
    bench = Bench(tmp_path, phase, into_s=into_s)
    recording = survived(bench.mishap("clamp-break"), "break", phase)
    assert [mark.kind for mark in recording.marks][-2:] == ["break_seen", "stopped"]
    assert not bench.link.moving


@pytest.mark.parametrize("phase", ["stretch", "stretch_again"])
def test_far_switch(tmp_path: Path, phase: str) -> None:
    bench = Bench(tmp_path, phase)
    survived(bench.mishap("limit-switch"), "limit_switch", phase)
    assert not bench.link.moving


@pytest.mark.parametrize("phase", ["stretch", "hold", "return"])
def test_force_beyond_the_limit(tmp_path: Path, phase: str) -> None:
    """A preloaded cell reads the end of its range: the same force limit holds in every phase that carries load."""
    bench = Bench(tmp_path, phase, into_s=1.0 if phase == "stretch" else INTO_S)
    survived(bench.mishap("saturate"), "force_limit", phase)
    assert not bench.link.moving


@pytest.mark.parametrize("phase", PHASES)
def test_cable_out(tmp_path: Path, phase: str) -> None:
    bench = Bench(tmp_path, phase, Dying)
    outcome = bench.carry_out(lambda: setattr(bench.wrapped[0], "dead", True))
    survived(outcome, "link_lost", phase)
    assert not outcome.motor_confirmed
    bench.link.clock.advance(1.0)
    assert not bench.link.moving
    assert bench.link.ran_s - bench.done_s < SILENCE_S


@pytest.mark.parametrize("phase", PHASES)
def test_line_that_takes_no_more_data(tmp_path: Path, phase: str) -> None:
    bench = Bench(tmp_path, phase, Choked)
    outcome = bench.carry_out(lambda: setattr(bench.wrapped[0], "dead", True))
    assert outcome.end_reason == "link_lost"
    bench.link.clock.advance(1.0)
    assert not bench.link.moving


@pytest.mark.parametrize("phase", PHASES)
def test_board_that_is_heard_no_more(tmp_path: Path, phase: str) -> None:
    bench = Bench(tmp_path, phase)
    machine = bench.link.board.machine

    def fall_silent() -> None:
        machine.faults.active.add("silence")

    outcome = bench.carry_out(fall_silent)
    assert outcome.end_reason == "silence"
    assert not outcome.motor_confirmed
    bench.link.clock.advance(1.0)
    assert not bench.link.moving


@pytest.mark.parametrize("phase", MOVING)
def test_host_that_hangs_whole(tmp_path: Path, phase: str) -> None:
    bench = Bench(tmp_path, phase)
    outcome = bench.carry_out(lambda: bench.link.clock.advance(5.0))
    survived(outcome, "silence", phase)
    assert bench.link.ran_s - bench.done_s < SILENCE_S


@pytest.mark.parametrize("phase", MOVING[1:])
def test_observer_that_hangs_lets_the_heart_stop(tmp_path: Path, phase: str) -> None:
    """Taking up the slack is over by itself before the lease is: the board stops at the pretension."""
    bench = Bench(tmp_path, phase)
    clock = bench.link.clock

    def hang() -> None:
        nobody_notifies, until_s = threading.Condition(), clock.now_s() + 5.0
        while clock.now_s() < until_s:
            with nobody_notifies:
                clock.wait(nobody_notifies, 0.1)

    survived(bench.carry_out(hang), "silence", phase)
    assert bench.link.ran_s - bench.done_s < LEASE_S + SILENCE_S + 0.1
    assert not bench.link.moving


@pytest.mark.parametrize("phase", ["hold", "rest"])
def test_motor_that_runs_though_it_was_told_to_stand(tmp_path: Path, phase: str) -> None:
    bench = Bench(tmp_path, phase)
    stage = bench.link.board.machine.stage
    outcome = bench.carry_out(lambda: stage.start(stage.steps + 4000, 800_000))
    survived(outcome, "error", phase)
    assert "told to stand" in outcome.message
    assert not bench.link.moving


@pytest.mark.parametrize("phase", PHASES)
def test_key_between_two_phases_means_that_nothing_more_moves(tmp_path: Path, phase: str) -> None:
    """The stop comes in the very snapshot with which a phase begins."""
    stretcher, link = simulated()
    begun: list[str] = []

    def at_its_beginning(snapshot: Snapshot) -> bool:
        if snapshot.batch is None and snapshot.rows and snapshot.phase is not Phase.ZEROING:
            begun.append(snapshot.phase.name)
        return len(begun) == PHASES.index(phase) + 1

    run = PullRun(
        stretcher, plan(tmp_path, method=METHOD), Watcher(at_its_beginning, lambda: run.request_stop("key"))
    )
    with stretcher:
        outcome = run.run()
    assert outcome.end_reason == "key"
    assert not link.moving
