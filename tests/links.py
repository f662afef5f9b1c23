"""Links for tests: a simulated board in lockstep with a clock of our own, and wrappers that misbehave.

With `LockstepClock` nothing waits and nothing is left to chance: whoever waits runs the reader, the heartbeat
and the board itself, one millisecond after another.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from random import Random

from rig.errors import LinkLost
from rig.link import Link
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
    """A simulated board at the other end of a perfect wire; notes what was sent and when the motor last ran."""

    address = "test://board"

    def __init__(self, clock: LockstepClock, board: SimulatedBoard) -> None:
        self.clock = clock
        self.board = board
        self.sent = bytearray()
        self.closed = False
        #: Host time at which the motor last ran [s].
        self.ran_s = -1.0
        self._owed_us = 0.0
        clock.world.append(self._live)

    @property
    def moving(self) -> bool:
        return self.board.machine.stage.moving

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
        settings = self.board.settings
        self._owed_us += wall_us * settings.time_scale * (1.0 + settings.clock_ppm * 1e-6)
        device_us = int(self._owed_us)
        self._owed_us -= device_us
        self.board.advance(device_us, wall_us)
        if self.moving:
            self.ran_s = self.clock.now_s()


class Wrapper:
    """A link that does as the one inside does."""

    def __init__(self, inner: Link) -> None:
        self.inner = inner
        self.address = inner.address

    def read(self, timeout_s: float) -> bytes:
        return self.inner.read(timeout_s)

    def write(self, data: bytes) -> None:
        self.inner.write(data)

    def close(self) -> None:
        self.inner.close()


class Bytewise(Wrapper):
    """Hands out one byte a read."""

    _rest = b""

    def read(self, timeout_s: float) -> bytes:
        self._rest = self._rest or self.inner.read(timeout_s)
        byte, self._rest = self._rest[:1], self._rest[1:]
        return byte


class Lossy(Wrapper):
    """Loses bytes both ways, each with the same probability."""

    def __init__(self, inner: Link, share: float, seed: int = 7) -> None:
        super().__init__(inner)
        self.share = share
        self._rng = Random(seed)

    def read(self, timeout_s: float) -> bytes:
        return self._some(self.inner.read(timeout_s))

    def write(self, data: bytes) -> None:
        self.inner.write(self._some(data))

    def _some(self, data: bytes) -> bytes:
        return bytes(byte for byte in data if self._rng.random() >= self.share)


class Corrupting(Lossy):
    """Flips one bit in some bytes, both ways."""

    def _some(self, data: bytes) -> bytes:
        rng = self._rng
        return bytes(byte ^ 1 << rng.randrange(8) if rng.random() < self.share else byte for byte in data)


class Delayed(Wrapper):
    """Everything the board says arrives later, as behind a slow adapter."""

    def __init__(self, inner: BoardLink, delay_s: float) -> None:
        super().__init__(inner)
        self._board_link = inner
        self._delay_s = delay_s
        self._on_its_way: deque[tuple[float, bytes]] = deque()

    def read(self, timeout_s: float) -> bytes:
        clock = self._board_link.clock
        deadline_s = clock.now_s() + timeout_s
        while True:
            data = self._board_link.read(SLICE_S)
            if data:
                self._on_its_way.append((clock.now_s() + self._delay_s, data))
            if self._on_its_way and self._on_its_way[0][0] <= clock.now_s():
                return self._on_its_way.popleft()[1]
            if clock.now_s() >= deadline_s:
                return b""


class Dying(Wrapper):
    """Is gone from a moment on, as when the cable is pulled out: nothing arrives any more, either way."""

    def __init__(self, inner: Link) -> None:
        super().__init__(inner)
        self.dead = False

    def read(self, timeout_s: float) -> bytes:
        self._check()
        return self.inner.read(timeout_s)

    def write(self, data: bytes) -> None:
        self._check()
        self.inner.write(data)

    def _check(self) -> None:
        if self.dead:
            raise LinkLost("The port test://board is gone: check the cable.")


class Choked(Dying):
    """Takes no more data from a moment on, though the board is still heard."""

    def read(self, timeout_s: float) -> bytes:
        return self.inner.read(timeout_s)


def simulated(
    strand: str = "virgin",
    fault: str = "",
    seed: int = 1,
    wrap: Callable[[BoardLink], Link] = lambda link: link,
    **settings: float,
) -> tuple[Stretcher, BoardLink]:
    """A stretcher, not opened yet, on a simulated board in lockstep; `wrap` puts a link of its own in between."""
    faults = (parse_fault(fault),) if fault else ()
    clock = LockstepClock()
    board = SimulatedBoard(SimulationSettings(strand=strand, seed=seed, faults=faults, **settings))  # type: ignore[arg-type]
    link = BoardLink(clock, board)
    return Stretcher(wrap(link), clock), link
