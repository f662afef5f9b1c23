"""Links for tests: a simulated board in lockstep with a clock of our own, and wrappers that misbehave.

With `LockstepClock` nothing waits and nothing is left to chance: whoever waits runs the reader, the heartbeat
and the board itself, one millisecond after another.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from rig.simulated.board import SimulatedBoard
from rig.simulated.faults import parse_fault
from rig.simulated.settings import SimulationSettings
from rig.stretcher import Stretcher

#: How finely time is cut up [s].
SLICE_S = 0.001
TODAY = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@dataclass
class _Repeated:
    clock: LockstepClock
    period_s: float
    step: Callable[[], bool]
    due_s: float

    def cancel(self) -> None:
        if self in self.clock.repeated:
            self.clock.repeated.remove(self)


@dataclass
class LockstepClock:
    """A clock that moves only when somebody waits, and then runs everything that is repeated."""

    time_s: float = 100.0
    repeated: list[_Repeated] = field(default_factory=list)
    world: list[Callable[[float], None]] = field(default_factory=list)

    def now_s(self) -> float:
        return self.time_s

    def today(self) -> datetime:
        return TODAY

    def repeat(self, name: str, period_s: float, step: Callable[[], bool]) -> _Repeated:
        repeated = _Repeated(self, period_s, step, self.time_s)
        self.repeated.append(repeated)
        return repeated

    def wait(self, condition: threading.Condition, timeout_s: float) -> None:
        next_due_s = min((r.due_s for r in self.repeated), default=self.time_s + timeout_s)
        if next_due_s > self.time_s:
            self.advance(min(next_due_s - self.time_s, timeout_s))
        for repeated in [r for r in self.repeated if r.due_s <= self.time_s]:
            if not repeated.step():
                repeated.cancel()
            repeated.due_s = self.time_s + repeated.period_s

    def advance(self, by_s: float) -> None:
        """Let the time pass for the clock and for everything that lives by it."""
        self.time_s += by_s
        for live in self.world:
            live(by_s)


class BoardLink:
    """A simulated board at the other end of a perfect wire. `time_scale` is board time over wall time."""

    address = "test://board"

    def __init__(self, clock: LockstepClock, board: SimulatedBoard, time_scale: float = 1.0) -> None:
        self.clock = clock
        self.board = board
        self.sent = bytearray()
        self.closed = False
        self._scale = time_scale
        clock.world.append(self._live)

    def read(self, timeout_s: float) -> bytes:
        deadline_s = self.clock.now_s() + timeout_s
        while not (data := self.board.take_output()) and self.clock.now_s() < deadline_s:
            self.clock.advance(SLICE_S)
        return data

    def write(self, data: bytes) -> None:
        self.sent += data
        self.board.receive(data)

    def close(self) -> None:
        self.closed = True

    def _live(self, by_s: float) -> None:
        wall_us = round(by_s * 1e6)
        self.board.advance(round(wall_us * self._scale), wall_us)


def simulated(
    strand: str = "virgin", fault: str = "", seed: int = 1, **settings: float | int
) -> tuple[Stretcher, BoardLink]:
    """A stretcher, not opened yet, on a simulated board in lockstep."""
    faults = (parse_fault(fault),) if fault else ()
    clock = LockstepClock()
    board = SimulatedBoard(SimulationSettings(strand=strand, seed=seed, faults=faults, **settings))
    link = BoardLink(clock, board)
    return Stretcher(link, clock), link
