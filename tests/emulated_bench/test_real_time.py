# SPDX-License-Identifier: GPL-3.0-or-later
"""The flashed image in real time behind a pseudo-terminal, and the program on it as on a serial port.

Real threads and real waiting, so few runs, and nothing is timed: the stated times are held in lockstep. The time
limits are only there so that a failure ends.
"""

from __future__ import annotations

import os
import select
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from firmware_protocol.messages import Command, Identify, Move
from firmware_protocol.session import Session
from firmware_protocol.vocabulary import PROTOCOL_VERSION, StopReason
from recordings.reader import read_recording
from rig.connect import connect
from rig.link import Link, open_link
from rig.run import PullRun
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.strands import STEPS_PER_MM, mount
from tests.rig.pulls import plan

PATIENCE_S = 60.0
SLICE_S = 0.001
#: A computer busy elsewhere holds the board up as well: a jump in its time would be a silent host to it [s].
LONGEST_SLICE_S = 0.02
#: Fast, and a strand that breaks early: a second of pulling [mm/min], [mm].
SPEED_MM_MIN, BREAK_MM = 300.0, 5.0
#: A motor that made no step for this long stands [ns].
STANDS_NS = 300_000_000


class RealTime:
    """An emulated board that runs by the clock on the wall, on a pseudo-terminal."""

    def __init__(self) -> None:
        self.rig = EmulatedRig()
        self.rig.set("noise_counts", 150)
        mount(self.rig, BREAK_MM * STEPS_PER_MM)
        import tty  # not on every system, though this file is read on all

        self._board_end, self._host_end = os.openpty()
        tty.setraw(self._host_end)
        self.port = os.ttyname(self._host_end)
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def close(self) -> None:
        self._ended.set()
        self._thread.join(PATIENCE_S)
        os.close(self._board_end)
        os.close(self._host_end)
        self.rig.close()

    def stands(self) -> bool:
        """Whether the motor has run, and stands."""
        return self.rig.get("steps") > 0 and self.rig.now_ns - self.rig.get("last_step_ns") > STANDS_NS

    def _run(self) -> None:
        before_s = time.monotonic()
        while not self._ended.is_set():
            ready, _, _ = select.select([self._board_end], [], [], SLICE_S)
            if ready:
                self.rig.send(os.read(self._board_end, 4096))
            now_s = time.monotonic()
            self.rig.run_to(self.rig.now_ns + round(min(now_s - before_s, LONGEST_SLICE_S) * 1e9))
            before_s = now_s
            said = self.rig.receive()
            while said and select.select([], [self._board_end], [], 0)[1]:
                said = said[os.write(self._board_end, said) :]


@pytest.fixture
def board() -> Iterator[RealTime]:
    made = RealTime()
    yield made
    made.close()


def test_a_pull_through_the_serial_library(board: RealTime, tmp_path: Path) -> None:
    with connect(board.port) as stretcher:
        assert stretcher.facts.name == "reference rig"
        outcome = PullRun(stretcher, plan(tmp_path, method={"speed_mm_min": SPEED_MM_MIN})).run()
    assert outcome.end_reason == "break"
    assert outcome.motor_confirmed
    assert outcome.lost == 0
    assert read_recording(outcome.path).complete


def asked(link: Link, session: Session, command: Command) -> None:
    """Send a command, and wait until it is answered."""
    link.write(session.request(command))
    deadline_s = time.monotonic() + PATIENCE_S
    while session.outstanding is not None:
        assert time.monotonic() < deadline_s
        session.receive(link.read(0.05))


def test_port_closed_and_opened_again(board: RealTime, tmp_path: Path) -> None:
    """A program is gone in the middle of a motion; the next one finds why the motor stands, and pulls."""
    link, session = open_link(board.port), Session()
    time.sleep(0.3)  # enough readings for the board
    asked(link, session, Identify(0, PROTOCOL_VERSION))
    asked(link, session, Move(0, -40_000, 1_000_000, 2_000_000))
    link.close()
    deadline_s = time.monotonic() + PATIENCE_S
    while not board.stands():
        assert time.monotonic() < deadline_s
        time.sleep(0.05)
    with connect(board.port) as stretcher:
        assert stretcher.latched is StopReason.HOST_SILENT
        outcome = PullRun(stretcher, plan(tmp_path, method={"speed_mm_min": SPEED_MM_MIN})).run()
    assert outcome.end_reason == "break"
