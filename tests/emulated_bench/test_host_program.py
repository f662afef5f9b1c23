# SPDX-License-Identifier: GPL-3.0-or-later
"""The program's own pull against the flashed image: what it records, and what it says when something goes wrong.

In lockstep: the program's clock is the chip's, so that nothing waits and every run is the same.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from firmware_protocol.vocabulary import StopReason
from recordings.format import Recording
from recordings.reader import read_recording
from rig.outcome import PullOutcome
from rig.run import PullRun
from rig.stretcher import Stretcher
from tests.emulated_bench.image_link import ImageLink
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.strands import BREAK_STEPS, COUNTS_PER_N, STEPS_PER_MM, mount
from tests.links import LockstepClock
from tests.rig.pulls import Watcher, plan, pulled

NOISE_COUNTS = 150
WATCHDOG_S = 0.3


class Desk:
    """A rig with a strand in it, a program connected to it, and one pull."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.rig = EmulatedRig()
        self.rig.set("offset_counts", 60_000)
        self.rig.set("noise_counts", NOISE_COUNTS)
        mount(self.rig)
        self.clock = LockstepClock()
        self.link = ImageLink(self.rig, self.clock)
        self.clock.advance(0.5)

    def pull(self, befall: Callable[[], None] = lambda: None) -> tuple[PullOutcome, Recording]:
        """Pull, letting something happen after 2 mm."""
        with Stretcher(self.link, self.clock) as stretcher:
            run = PullRun(stretcher, plan(self.folder), Watcher(pulled(2.0), befall))
            outcome = run.run()
        return outcome, read_recording(outcome.path)

    def last_step_s(self) -> float:
        """How long ago the motor made its last step [s]."""
        return (self.rig.now_ns - self.rig.steps()[-1].ns) * 1e-9


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def test_a_whole_pull(desk: Desk) -> None:
    outcome, recording = desk.pull()
    assert outcome.end_reason == "break"
    assert outcome.lost == 0
    assert outcome.motor_confirmed
    assert recording.complete
    readings = {reading.counts for reading in desk.rig.readings()}
    assert set(recording.rows.counts) <= readings
    counts = recording.rows.counts
    peak = max(counts) - 60_000
    assert peak == pytest.approx(COUNTS_PER_N, rel=0.02)
    at_peak = recording.rows.steps[counts.index(max(counts))]
    assert abs(at_peak - BREAK_STEPS) <= 4 * STEPS_PER_MM / 80


@pytest.mark.parametrize(
    ("name", "end_reason", "says", "latched"),
    [
        ("emergency", "emergency_stop", "emergency stop", StopReason.EMERGENCY_STOP),
        ("far_held", "limit_switch", "limit switch", StopReason.LIMIT_SWITCH),
        ("silent", "sensor_fault", "amplifier", StopReason.SENSOR_FAULT),
        ("frozen", "sensor_fault", "has not changed by a single count", StopReason.NONE),
    ],
)
def test_what_befalls_the_board(desk: Desk, name: str, end_reason: str, says: str, latched: StopReason) -> None:
    outcome, recording = desk.pull(lambda: desk.rig.set(name, 1))
    assert outcome.end_reason == end_reason
    assert says in outcome.message
    assert recording.complete
    # Where no reading comes any more, the reason stands in no sample; the program has asked the board.
    assert name == "silent" or recording.rows.flags[-1] >> 8 == latched


def test_reset(desk: Desk) -> None:
    outcome, recording = desk.pull(desk.rig.reset)
    assert outcome.end_reason == "board_reset"
    assert recording.complete
    assert desk.last_step_s() > 0.1


def test_hung_main_loop(desk: Desk) -> None:
    def hang() -> None:
        desk.rig.hang("thin_now_us")
        desk.clock.advance(WATCHDOG_S)
        desk.rig.hang("thin_now_us", False)

    outcome, _ = desk.pull(hang)
    assert outcome.end_reason == "board_reset"
    assert desk.last_step_s() > WATCHDOG_S


def test_cable_cut(desk: Desk) -> None:
    def cut() -> None:
        desk.link.cut = True

    outcome, recording = desk.pull(cut)
    assert outcome.end_reason == "link_lost"
    assert not outcome.motor_confirmed
    assert recording.complete
    cut_ns = desk.rig.now_ns
    desk.clock.advance(1.0)
    assert desk.rig.steps()[-1].ns <= cut_ns + 502_000_000


def test_noisy_line(desk: Desk) -> None:
    """One byte in two hundred with a wrong bit, both ways: the pull comes to its end, and what is lost is told."""
    desk.link.flips = 0.005
    outcome, recording = desk.pull()
    assert outcome.end_reason == "break"
    assert outcome.lost > 0
    readings = {reading.counts for reading in desk.rig.readings()}
    assert set(recording.rows.counts) <= readings
