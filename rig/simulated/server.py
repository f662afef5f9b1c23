"""Serves a simulated board to any program: paces it by the computer's clock and passes its bytes to a port.

One loop in one thread does everything: it lets the board live through the time that has gone by, hands it what
the host sent, and hands the host what fits into the line. It never blocks on a host that does not read; the board
then drops readings, counts them and says so. `ports` knows TCP and pseudo-terminals; this module knows neither.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rig.simulated.board import SimulatedBoard
from rig.simulated.ports import Port, open_port
from rig.simulated.settings import WEIGHT_RANGE_G, SimulationSettings, inside

#: The loop waits for the board's next reading or for bytes from the host, within these limits [s]: readings that
#: come faster are handed over a few at a time.
SHORTEST_WAIT_S = 0.004
LONGEST_WAIT_S = 0.020
#: Wall time that the board lives through in one step at most [us]. When the computer keeps the loop waiting for
#: longer, the host's heartbeats wait as well: that is no silence of the host.
LONGEST_STEP_US = 100_000
#: Device time in one step at most [us]: a board that is to run faster than the computer can compute falls behind,
#: and goes on listening.
LONGEST_LEAP_US = 2_000_000
#: How long the end of the thread is waited for [s].
JOIN_S = 2.0


class Server:
    """A board behind a port. `run` serves it in the calling thread until `close`; `url` is where to find it."""

    def __init__(self, board: SimulatedBoard, port: Port, now_s: Callable[[], float] = time.monotonic) -> None:
        self.board = board
        self._port = port
        self._now_s = now_s
        self._closing = threading.Event()
        self._pending = b""
        self._hung_g: deque[float] = deque()
        self._last_s = now_s()
        self._device_s = 0.0

    @property
    def url(self) -> str:
        """The port as a host opens it."""
        return self._port.url

    def run(self) -> None:
        """Serve until closed; the port is closed in the end."""
        self._last_s = self._now_s()
        try:
            while not self._closing.is_set():
                self._port.wait(self._wait_s())
                self.step()
        finally:
            self._port.close()

    def close(self) -> None:
        """Make `run` end soon."""
        self._closing.set()

    def hang(self, mass_g: float) -> None:
        """Have a weight hung on the hook in the next turn, from any thread. Raises ValueError."""
        inside("weight", mass_g, WEIGHT_RANGE_G, "g")
        self._hung_g.append(mass_g)

    def step(self) -> None:
        """One turn: listen, live, speak."""
        while self._hung_g:
            self.board.hang(self._hung_g.popleft())
        if self._port.accept():
            self._pending = b""
            self.board.plug_in()
        self.board.receive(self._port.read())
        self._live()
        if self.board.unplugged:
            self._port.drop()
        self._speak()

    def _wait_s(self) -> float:
        """Wall time until something happens on the board."""
        machine = self.board.machine
        due_s = (machine.next_us() - machine.now_us) * 1e-6 / self.board.settings.time_scale
        return min(max(due_s, SHORTEST_WAIT_S), LONGEST_WAIT_S)

    def _live(self) -> None:
        """Let the board live through the time since the last turn."""
        now_s = self._now_s()
        wall_s, self._last_s = now_s - self._last_s, now_s
        settings = self.board.settings
        self._device_s += wall_s * settings.time_scale * (1.0 + settings.clock_ppm * 1e-6)
        device_us = int(self._device_s * 1e6)
        self._device_s -= device_us * 1e-6
        self.board.advance(min(device_us, LONGEST_LEAP_US), min(round(wall_s * 1e6), LONGEST_STEP_US))

    def _speak(self) -> None:
        """Hand over what the line takes; with nobody there the bytes are gone, as on a real line."""
        if not self._port.connected:
            self.board.take_output()
            self._pending = b""
            return
        if not self._pending:
            self._pending = self.board.take_output()
        self._pending = self._pending[self._port.write(self._pending) :]


@contextmanager
def serve(
    settings: SimulationSettings,
    listen: str = "tcp://127.0.0.1:0",
    now_s: Callable[[], float] = time.monotonic,
) -> Iterator[Server]:
    """Serve a simulated rig in a thread of its own, for as long as the context lasts.

    `listen` is "tcp://host:port" (port 0 takes a free one) or "pty"; the server's `url` says where it ended up.
    Raises ValueError or OSError, with a sentence for a person, where the port can't be had.
    """
    server = make_server(settings, listen, now_s)
    thread = threading.Thread(target=server.run, name="simulated rig", daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.close()
        thread.join(JOIN_S)


def make_server(settings: SimulationSettings, listen: str, now_s: Callable[[], float] = time.monotonic) -> Server:
    """A server for a new board, to `run` in the calling thread. Raises as `serve` does."""
    return Server(SimulatedBoard(settings), open_port(listen), now_s)
