"""What the command line meets at a port: simulated rigs in this process, and things that are no rig at all."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rig.simulated.faults import parse_fault
from rig.simulated.server import serve
from rig.simulated.settings import SimulationSettings

#: How much faster than real time the rigs of these tests live.
FASTER = 25.0


@contextmanager
def simulated(strand: str = "virgin", *faults: str, time_scale: float = FASTER, seed: int = 1) -> Iterator[str]:
    """A simulated rig behind a TCP port; gives its address."""
    settings = SimulationSettings(
        strand=strand, seed=seed, faults=tuple(parse_fault(f) for f in faults), time_scale=time_scale
    )
    with serve(settings) as server:
        yield server.url


@contextmanager
def listening(talk: Callable[[socket.socket, threading.Event], None]) -> Iterator[str]:
    """Something that listens at a TCP port and talks as it likes to whoever comes."""
    over = threading.Event()
    listener = socket.create_server(("127.0.0.1", 0))
    listener.settimeout(0.1)

    def work() -> None:
        while not over.is_set():
            with contextlib.suppress(OSError):
                guest, _ = listener.accept()
                with guest:
                    guest.settimeout(0.1)
                    talk(guest, over)

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    try:
        yield f"tcp://127.0.0.1:{listener.getsockname()[1]}"
    finally:
        over.set()
        thread.join(5.0)
        listener.close()


def say_nothing(guest: socket.socket, over: threading.Event) -> None:
    """Take everything in and never answer."""
    while not over.is_set():
        with contextlib.suppress(TimeoutError):
            if not guest.recv(4096):
                return


def echo(guest: socket.socket, over: threading.Event) -> None:
    """Send everything back, as a loop in the cable does."""
    while not over.is_set():
        with contextlib.suppress(TimeoutError):
            data = guest.recv(4096)
            if not data:
                return
            guest.sendall(data)


def garbage(guest: socket.socket, over: threading.Event) -> None:
    """Send what no frame is made of, with escape codes in it."""
    import random

    dice = random.Random(7)
    while not over.wait(0.01):
        guest.sendall(b"\x1b[2J\x1b]0;owned\x07" + dice.randbytes(200))


def print_lines(guest: socket.socket, over: threading.Event) -> None:
    """A board that prints time, force and position: at rest, stretched by hand to a break, then at rest again."""
    with contextlib.suppress(OSError):
        for i in range(100_000):
            if over.wait(0.002):
                return
            moved_um = 20 * max(i - 700, 0)
            force_mn = min(moved_um / 2, 400) if moved_um < 8000 else 0
            guest.sendall(f"{i * 12},{force_mn + i % 3:.1f},{moved_um},ok\r\n".encode())
