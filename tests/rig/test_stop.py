"""Every way a pull can end: the motor stops in its stated time, and the recording survives.

The board is the simulated one in lockstep with the clock, so that times are exact; `ran_s` is when its motor
last ran. A recording survives when it can be read, and is either incomplete or ends with the reason.
"""

from __future__ import annotations

import itertools
import os
import threading
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import pytest

from firmware_protocol.vocabulary import HOST_SILENCE_MS, StopReason
from recordings.format import Recording
from recordings.reader import read_recording
from rig.dialogue import LEASE_S
from rig.errors import NoAnswer, Refused
from rig.outcome import PullOutcome
from rig.run import PullRun, run_pull
from rig.simulated.stage import ACCELERATION_STEPS_S2, STEPS_PER_MM
from rig.snapshot import Phase
from rig.stretcher import Stretcher
from tests.links import BoardLink, Choked, Dying, simulated
from tests.rig.pulls import SPEED_MM_MIN, Watcher, plan, pulled

#: From a key to a motor that stands [s]: a few slices of a millisecond, and slowing down from 1 mm/s.
KEY_S = 0.005 + SPEED_MM_MIN / 60.0 * STEPS_PER_MM / ACCELERATION_STEPS_S2
#: From the last sign of life of the host to a motor that stands.
SILENCE_S = HOST_SILENCE_MS / 1000.0 + 0.002


def survived(outcome: PullOutcome, reason: str) -> Recording:
    """The recording, which must be complete and end with the reason."""
    assert outcome.end_reason == reason
    assert outcome.message.endswith(".")
    recording = read_recording(outcome.path)
    assert recording.complete
    assert recording.end is not None
    assert recording.end.reason == reason
    assert recording.end.rows == len(recording.rows) == outcome.rows
    assert [mark.data["reason"] for mark in recording.marks if mark.kind == "stopped"] == [reason]
    return recording


@pytest.mark.parametrize(
    ("fault", "reason", "latched"),
    [
        ("", "break", StopReason.BREAK_SEEN),
        ("clamp-break@4", "break", StopReason.BREAK_SEEN),
        ("emergency-stop@4", "emergency_stop", StopReason.EMERGENCY_STOP),
        ("limit-switch@4", "limit_switch", StopReason.LIMIT_SWITCH),
        ("dead-sensor@4", "sensor_fault", StopReason.SENSOR_FAULT),
        ("saturate@4", "force_limit", StopReason.FORCE_LIMIT),
    ],
)
def test_board_stops_itself(tmp_path: Path, fault: str, reason: str, latched: StopReason) -> None:
    stretcher, link = simulated(fault=fault)
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    survived(outcome, reason)
    assert outcome.motor_confirmed
    assert not link.moving


def test_force_limit_of_the_person(tmp_path: Path) -> None:
    stretcher, link = simulated()
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, method={"force_limit_n": 0.3}))
    recording = survived(outcome, "force_limit")
    force_n = [c / stretcher.facts.counts_per_n for c in recording.rows.counts]
    zero_n = sum(force_n[:50]) / 50
    stiffest_n = max(b - a for a, b in itertools.pairwise(force_n))
    # The board judges the median of three readings, which is one reading late, and acts with the next one.
    assert 0.3 <= max(force_n) - zero_n < 0.3 + 3 * stiffest_n
    assert not link.moving


def test_travel_limit_of_the_person(tmp_path: Path) -> None:
    stretcher, link = simulated("never-breaking")
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, method={"travel_limit_mm": 7.0}))
    recording = survived(outcome, "travel_limit")
    travelled = recording.rows.steps[-1] - recording.rows.steps[0]
    assert travelled == round(7.0 * stretcher.facts.steps_per_mm)
    assert not link.moving


def test_never_breaking_strand_ends_at_one_gauge_length(tmp_path: Path) -> None:
    stretcher, link = simulated("never-breaking")
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    recording = survived(outcome, "travel_limit")
    assert recording.rows.steps[-1] - recording.rows.steps[0] == round(30.0 * stretcher.facts.steps_per_mm)
    assert not link.moving


def test_frozen_reading(tmp_path: Path) -> None:
    stretcher, link = simulated(fault="freeze@4")
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    survived(outcome, "sensor_fault")
    assert outcome.motor_confirmed
    assert not link.moving


def _key_at(
    tmp_path: Path, when: Callable[..., bool], **more: object
) -> tuple[PullOutcome, BoardLink, list[float], Watcher]:
    stretcher, link = simulated()
    pressed_s: list[float] = []

    def press() -> None:
        pressed_s.append(link.clock.now_s())
        run.request_stop()

    watcher = Watcher(when, press)
    run = PullRun(stretcher, plan(tmp_path, **more), watcher)
    with stretcher:
        outcome = run.run()
    return outcome, link, pressed_s, watcher


def test_key_while_pulling(tmp_path: Path) -> None:
    outcome, link, pressed_s, _ = _key_at(tmp_path, pulled(5.0))
    survived(outcome, "key")
    assert 0.0 < link.ran_s - pressed_s[0] < KEY_S
    assert not link.moving


def test_key_while_the_zero_is_taken_means_that_nothing_moves(tmp_path: Path) -> None:
    outcome, link, _, _ = _key_at(tmp_path, lambda s: s.phase is Phase.ZEROING and s.rows > 10)
    survived(outcome, "key")
    assert link.ran_s < 0.0


def test_key_while_moving_back(tmp_path: Path) -> None:
    outcome, link, pressed_s, watcher = _key_at(tmp_path, lambda s: s.phase is Phase.RETURNING, return_after=True)
    survived(outcome, "break")
    assert outcome.message.endswith("Moving back was stopped by the person.")
    assert watcher.phases[-2:] == [Phase.RETURNING, Phase.ENDED]
    assert link.ran_s - pressed_s[0] < KEY_S
    assert not link.moving


def test_key_after_the_break_means_that_nothing_moves_back(tmp_path: Path) -> None:
    outcome, _, _, watcher = _key_at(tmp_path, lambda s: s.phase is Phase.FINISHING, return_after=True)
    survived(outcome, "break")
    assert Phase.RETURNING not in watcher.phases


def test_stop_reason_of_the_caller_is_kept(tmp_path: Path) -> None:
    stretcher, link = simulated()
    run = PullRun(
        stretcher, plan(tmp_path), Watcher(pulled(3.0), lambda: run.request_stop("error", "Window closed."))
    )
    with stretcher:
        outcome = run.run()
    survived(outcome, "error")
    assert outcome.message == "Window closed."
    assert not link.moving


def test_ctrl_c(tmp_path: Path) -> None:
    stretcher, link = simulated()

    def interrupt() -> NoReturn:
        raise KeyboardInterrupt

    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), Watcher(pulled(5.0), interrupt))
    survived(outcome, "key")
    assert not link.moving


@pytest.mark.parametrize("kind", [RuntimeError, SystemExit, MemoryError])
def test_mistake_in_the_host(tmp_path: Path, kind: type[BaseException]) -> None:
    stretcher, link = simulated()
    failed_s: list[float] = []

    def fail() -> NoReturn:
        failed_s.append(link.clock.now_s())
        raise kind("invented mistake")

    with pytest.raises(kind, match="invented mistake"), stretcher:
        run_pull(stretcher, plan(tmp_path), Watcher(pulled(5.0), fail))
    assert link.ran_s - failed_s[0] < KEY_S
    assert not link.moving
    (path,) = tmp_path.glob("*.pull.csv")
    recording = read_recording(path)
    assert recording.end is not None
    assert recording.end.reason == "error"


def test_observer_that_always_fails_does_not_lose_the_recording(tmp_path: Path) -> None:
    stretcher, link = simulated()

    def fail(snapshot: object) -> NoReturn:
        raise RuntimeError("invented mistake")

    with pytest.raises(RuntimeError), stretcher:
        run_pull(stretcher, plan(tmp_path), fail)
    (path,) = tmp_path.glob("*.pull.csv")
    assert read_recording(path).complete
    assert link.ran_s < 0.0


def test_block_left_by_a_mistake_stops_the_motor() -> None:
    stretcher, link = simulated()

    def work() -> None:
        stretcher.hold(1.0)
        stretcher.start_pull(20_000, 60.0, 7_000_000, 0)
        stretcher.hold(2.0)
        assert link.moving
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError), stretcher:
        work()
    assert not link.moving
    assert link.closed


def test_cable_out(tmp_path: Path) -> None:
    dying: list[Dying] = []

    def wrap(link: BoardLink) -> Dying:
        dying.append(Dying(link))
        return dying[0]

    stretcher, link = simulated(wrap=wrap)
    gone_s: list[float] = []

    def pull_out() -> None:
        gone_s.append(link.clock.now_s())
        dying[0].dead = True

    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), Watcher(pulled(5.0), pull_out))
    survived(outcome, "link_lost")
    assert not outcome.motor_confirmed
    assert "emergency stop" in outcome.message
    link.clock.advance(1.0)
    assert not link.moving
    assert link.ran_s - gone_s[0] < SILENCE_S


def test_line_that_takes_no_more_data(tmp_path: Path) -> None:
    choked: list[Choked] = []

    def wrap(link: BoardLink) -> Choked:
        choked.append(Choked(link))
        return choked[0]

    stretcher, link = simulated(wrap=wrap)
    with stretcher:
        outcome = run_pull(
            stretcher, plan(tmp_path), Watcher(pulled(5.0), lambda: setattr(choked[0], "dead", True))
        )
    survived(outcome, "link_lost")
    link.clock.advance(1.0)
    assert not link.moving


@pytest.mark.parametrize("fault", ["silence@4", "unplug@4"])
def test_board_that_is_heard_no_more(tmp_path: Path, fault: str) -> None:
    stretcher, link = simulated(fault=fault)
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    survived(outcome, "silence")
    assert not outcome.motor_confirmed
    link.clock.advance(1.0)
    assert not link.moving


@pytest.mark.parametrize("fault", ["reset@4", "hang@4"])
def test_board_reset(tmp_path: Path, fault: str) -> None:
    stretcher, link = simulated(fault=fault)
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    survived(outcome, "board_reset")
    assert not link.moving


def test_reset_of_which_the_news_is_lost(tmp_path: Path) -> None:
    """The BOOT event is swallowed: the board's answer that it does not know us says the same."""
    stretcher, link = simulated()

    def reset() -> None:
        link.board.machine.restart(StopReason.RESET)
        link.board.take_output()

    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), Watcher(pulled(3.0), reset))
    survived(outcome, "board_reset")
    assert not link.moving


def test_host_that_hangs_whole(tmp_path: Path) -> None:
    """As with SIGSTOP or a computer that sleeps: not even the heartbeat goes on."""
    stretcher, link = simulated()
    hung_s: list[float] = []

    def hang() -> None:
        hung_s.append(link.clock.now_s())
        link.clock.advance(5.0)

    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), Watcher(pulled(5.0), hang))
    survived(outcome, "silence")
    assert link.ran_s - hung_s[0] < SILENCE_S


def test_observer_that_hangs_lets_the_heart_stop(tmp_path: Path) -> None:
    """The heartbeat's thread lives on, but nobody watches the pull: after the lease the board must stop."""
    stretcher, link = simulated()
    hung_s: list[float] = []

    def hang() -> None:
        hung_s.append(link.clock.now_s())
        nobody_notifies = threading.Condition()
        while link.clock.now_s() < hung_s[0] + 5.0:
            with nobody_notifies:
                link.clock.wait(nobody_notifies, 0.1)

    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), Watcher(pulled(5.0), hang))
    survived(outcome, "silence")
    assert link.ran_s - hung_s[0] < LEASE_S + SILENCE_S + 0.1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_full_disk(tmp_path: Path) -> None:
    """The recording's file becomes one that takes nothing more, in the middle of the pull."""
    stretcher, link = simulated()

    def fill() -> None:
        (path,) = tmp_path.glob("*.pull.csv")
        descriptor = next(
            int(fd.name) for fd in Path("/proc/self/fd").iterdir() if fd.exists() and fd.resolve() == path
        )
        full = os.open("/dev/full", os.O_WRONLY)
        os.dup2(full, descriptor)
        os.close(full)

    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), Watcher(pulled(5.0), fill))
    assert outcome.end_reason == "error"
    assert "can't be written" in outcome.message
    assert outcome.motor_confirmed
    assert not link.moving
    recording = read_recording(outcome.path)
    assert not recording.complete
    assert len(recording.rows) > 300


def test_emergency_stop_must_be_looked_at_before_the_next_pull(tmp_path: Path) -> None:
    stretcher, link = simulated(fault="emergency-stop@4")
    with stretcher:
        run_pull(stretcher, plan(tmp_path))
        link.clock.advance(3.0)
        moved_s = link.ran_s
        with pytest.raises(Refused, match="release the emergency stop"):
            run_pull(stretcher, plan(tmp_path))
        assert link.ran_s == moved_s
        assert len(list(tmp_path.glob("*.pull.csv"))) == 1
        outcome = run_pull(stretcher, plan(tmp_path, clear_stop=True))
    survived(outcome, "emergency_stop")  # the fault comes in every pull


def test_break_needs_no_clearing_before_the_next_pull(tmp_path: Path) -> None:
    stretcher, _ = simulated()
    with stretcher:
        for _ in range(2):
            survived(run_pull(stretcher, plan(tmp_path, return_after=True)), "break")
        assert stretcher.jog(-1.0) is StopReason.DONE


def test_unconfirmed_stop_is_told_where_nobody_told_it_before() -> None:
    stretcher, link = simulated(fault="silence@1")

    def work() -> None:
        stretcher.stream(True)
        stretcher.hold(1.0)
        stretcher.start_pull(20_000, 60.0, 7_000_000, 0)
        while stretcher.take(0.05):
            pass

    with pytest.raises(NoAnswer), stretcher:
        work()
    link.clock.advance(1.0)
    assert not link.moving


def test_snapshots_tell_the_phases_in_order(tmp_path: Path) -> None:
    stretcher, _ = simulated()
    watcher = Watcher()
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, return_after=True), watcher)
    assert watcher.phases == [
        Phase.ZEROING,
        Phase.PULLING,
        Phase.FINISHING,
        Phase.RETURNING,
        Phase.ENDED,
    ]
    assert watcher.seen[-1].message == outcome.message
    recording = read_recording(outcome.path)
    shown = [counts for s in watcher.seen if s.batch for counts in s.batch.counts]
    assert shown == list(recording.rows.counts)


def test_no_stretcher_without_stop_bytes() -> None:
    """Even where nothing ever moved, the end of the block sends a stop."""
    stretcher, link = simulated()
    assert isinstance(stretcher, Stretcher)
    with stretcher:
        link.sent.clear()
    assert b"\x03" in bytes(link.sent)
