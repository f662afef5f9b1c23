"""The simulated rig behind a real TCP port and a real pseudo-terminal, met by real clients.

The loop is driven by the test with an injected clock wherever time matters; only a few tests let it run by itself.
"""

from __future__ import annotations

import itertools
import os
import select
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing

import pytest
import serial

from firmware_protocol.codec import decode, encode
from firmware_protocol.frames import Frame, FrameDecoder, encode_frame
from firmware_protocol.messages import Ack, Event, Heartbeat, Identify, Identity, Move, Sample, Stream
from firmware_protocol.vocabulary import PROTOCOL_VERSION, EventCode, Flag
from rig.simulated.faults import parse_fault
from rig.simulated.ports import open_port
from rig.simulated.server import LONGEST_LEAP_US, LONGEST_STEP_US, Server, make_server, serve
from rig.simulated.settings import SimulationSettings

posix = pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo-terminals on Windows")
LISTEN = ["tcp://127.0.0.1:0", pytest.param("pty", marks=posix)]
#: A client gives up waiting for the server after this long [s]; nothing here takes more than a few milliseconds.
PATIENCE_S = 10.0


class Clock:
    """A clock that goes when it is told to."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


class Client:
    """The other end of the line."""

    def __init__(self, url: str) -> None:
        self._decoder = FrameDecoder()
        self.came: list[object] = []
        if url.startswith("tcp://"):
            host, port = url.removeprefix("tcp://").split(":")
            self._socket: socket.socket | None = socket.create_connection((host, int(port)), PATIENCE_S)
            self._serial = None
        else:
            self._socket = None
            self._serial = serial.Serial(url, 250_000, timeout=0)

    def send(self, message: object) -> None:
        data = encode_frame(encode(message))  # type: ignore[arg-type]
        if self._socket is not None:
            self._socket.sendall(data)
        else:
            assert self._serial is not None
            self._serial.write(data)

    def collect(self) -> bool:
        """Take what has come; False once the line is closed from the other end."""
        data = self._read()
        if data is None:
            return False
        self.came += [decode(found) for found in self._decoder.feed(data) if isinstance(found, Frame)]
        return True

    def of(self, kind: type) -> list[object]:
        return [m for m in self.came if isinstance(m, kind)]

    def close(self) -> None:
        (self._socket or self._serial).close()  # type: ignore[union-attr]

    def _read(self) -> bytes | None:
        if self._serial is not None:
            try:
                return self._serial.read(max(1, self._serial.in_waiting))
            except (OSError, serial.SerialException):
                return None
        assert self._socket is not None
        if not select.select([self._socket], [], [], 0)[0]:
            return b""
        try:
            return self._socket.recv(65_536) or None
        except OSError:
            return None


class Stand:
    """A server driven step by step under an injected clock."""

    def __init__(self, listen: str, **settings: object) -> None:
        self.clock = Clock()
        self.server = make_server(SimulationSettings(**settings), listen, self.clock)  # type: ignore[arg-type]

    def go(self, seconds: float, *clients: Client, step_s: float = 0.004) -> None:
        for _ in range(round(seconds / step_s)):
            self.clock.now += step_s
            self.server.step()
            for client in clients:
                client.collect()

    def until(self, what: Callable[[], bool], *clients: Client) -> None:
        """Step until something is so: the computer takes its time to pass bytes on."""
        deadline = time.monotonic() + PATIENCE_S
        while not what():
            assert time.monotonic() < deadline, "it never happened"
            self.go(0.004, *clients)

    def meet(self) -> Client:
        """A client that has identified itself."""
        client = Client(self.server.url)
        self.until(lambda: self.server._port.connected)
        client.send(Identify(1, PROTOCOL_VERSION))
        self.until(lambda: bool(client.of(Identity)), client)
        return client


@pytest.fixture(params=LISTEN)
def listen(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def stand(listen: str) -> Iterator[Stand]:
    made = Stand(listen)
    yield made
    made.server._port.close()


def test_a_client_is_answered(stand: Stand) -> None:
    with closing(stand.meet()) as client:
        assert client.of(Identity)[0].name == "simulated rig"  # type: ignore[attr-defined]


def test_twenty_seconds_at_1000_readings_a_second_lose_nothing(listen: str) -> None:
    stand = Stand(listen, rate_hz=1000.0)
    with closing(stand.meet()) as client:
        client.send(Stream(2, 1))
        stand.until(lambda: bool(client.of(Sample)), client)
        for _ in range(20):
            client.send(Heartbeat())
            stand.go(1.0, client, step_s=0.02)
        stand.until(lambda: stand.server._pending == b"", client)
        client.collect()
        seqs = [m.seq for m in client.of(Sample)]  # type: ignore[attr-defined]
        assert len(seqs) > 21_000
        assert {(b - a) % 65_536 for a, b in itertools.pairwise(seqs)} == {1}
        assert stand.server.board.dropped == 0
    stand.server._port.close()


def test_a_client_that_does_not_read_makes_the_board_drop_and_say_so(listen: str) -> None:
    stand = Stand(listen, rate_hz=2000.0)
    with closing(stand.meet()) as client:
        client.send(Stream(2, 1))
        deadline = time.monotonic() + PATIENCE_S
        while stand.server.board.dropped < 1000:
            assert time.monotonic() < deadline
            stand.go(1.0, step_s=0.1)
        stand.go(1.0, client)
        stand.until(lambda: any(m.flags & Flag.READINGS_DROPPED for m in client.of(Sample)), client)  # type: ignore[attr-defined]
    stand.server._port.close()


def test_the_board_outlives_its_client_and_stops_the_motor_for_silence(stand: Stand) -> None:
    client = stand.meet()
    stand.until(lambda: stand.server.board.machine.sensor_ready, client)
    client.send(Move(2, 40_000, 800_000, 4_000_000))
    stand.until(lambda: stand.server.board.machine.stage.moving, client)
    client.close()
    stand.go(0.6)
    assert not stand.server.board.machine.stage.moving
    at = stand.server.board.machine.stage.steps
    assert at > 0
    with closing(stand.meet()) as again:
        assert again.of(Identity)[0].boot_count == 1, "it is the same board"  # type: ignore[attr-defined]
        assert not again.of(Event), "what it said to nobody is gone"
        again.send(Move(2, 0, 800_000, 4_000_000))
        stand.until(lambda: bool(again.of(Ack)), again)
        assert again.of(Ack)[0].result == 2, "the reason is still latched"  # type: ignore[attr-defined]
        assert stand.server.board.machine.stage.steps == at


def test_only_one_client_at_a_time() -> None:
    stand = Stand("tcp://127.0.0.1:0")
    with closing(stand.meet()) as first, closing(Client(stand.server.url)) as second:
        stand.until(lambda: not second.collect(), first)
        first.send(Stream(2, 1))
        stand.until(lambda: bool(first.of(Sample)), first)
    stand.server._port.close()


def test_pulling_the_cable_closes_the_line_and_stops_the_motor(listen: str) -> None:
    stand = Stand(listen, faults=(parse_fault("unplug@start+5"),))
    client = stand.meet()
    stand.until(lambda: stand.server.board.machine.sensor_ready, client)
    client.send(Move(2, 40_000, 800_000, 4_000_000))
    for _ in range(50):
        client.send(Heartbeat())
        stand.go(0.1, client)
        if stand.server.board.unplugged:
            break
    stand.until(lambda: not client.collect())
    client.close()
    stand.go(0.6)
    assert not stand.server.board.machine.stage.moving
    if listen != "pty":
        with closing(stand.meet()) as again:
            again.send(Stream(3, 1))
            stand.until(lambda: bool(again.of(Sample)), again)
    stand.server._port.close()


def test_time_scale_makes_device_time_run_and_not_the_silence(listen: str) -> None:
    stand = Stand(listen, time_scale=20.0)
    with closing(stand.meet()) as client:
        start = stand.server.board.machine.now_us
        stand.go(1.0, client)
        assert stand.server.board.machine.now_us - start == pytest.approx(20e6, rel=1e-6)
        client.send(Move(2, 40_000, 80_000, 4_000_000))
        stand.until(lambda: stand.server.board.machine.stage.moving, client)
        stand.go(0.4, client)
        assert stand.server.board.machine.stage.moving, "8 s of device time, 0.4 s of the host's"
        stand.go(0.2, client)
        assert not stand.server.board.machine.stage.moving
    stand.server._port.close()


def test_a_board_that_can_t_be_computed_so_fast_falls_behind_and_goes_on_listening() -> None:
    stand = Stand("tcp://127.0.0.1:0", time_scale=1000.0)
    stand.go(1.0, step_s=0.1)
    assert stand.server.board.machine.now_us == 10 * LONGEST_LEAP_US
    stand.server._port.close()


def test_a_clock_that_is_fast_is_fast() -> None:
    stand = Stand("tcp://127.0.0.1:0", clock_ppm=5000.0)
    stand.go(10.0)
    assert stand.server.board.machine.now_us == pytest.approx(10.05e6, abs=20)
    stand.server._port.close()


def test_a_computer_that_keeps_the_loop_waiting_is_no_silence_of_the_host(stand: Stand) -> None:
    with closing(stand.meet()) as client:
        stand.until(lambda: stand.server.board.machine.sensor_ready, client)
        client.send(Move(2, 40_000, 800_000, 4_000_000))
        stand.until(lambda: stand.server.board.machine.stage.moving, client)
        stand.go(3.0, client, step_s=3.0)
        assert LONGEST_STEP_US < 500_000
        assert stand.server.board.machine.stage.moving


def test_served_in_a_thread_it_runs_by_itself_and_ends_with_the_context(listen: str) -> None:
    with serve(SimulationSettings(rate_hz=1000.0), listen) as server:
        with closing(Client(server.url)) as client:
            client.send(Identify(1, PROTOCOL_VERSION))
            client.send(Stream(2, 1))
            deadline = time.monotonic() + PATIENCE_S
            while len(client.of(Sample)) < 100:
                assert time.monotonic() < deadline
                client.collect()
                time.sleep(0.001)
        assert any(thread.name == "simulated rig" for thread in threading.enumerate())
    assert not any(thread.name == "simulated rig" for thread in threading.enumerate())
    assert not server._port.connected


def test_run_serves_in_the_calling_thread_until_closed() -> None:
    server = make_server(SimulationSettings(), "tcp://127.0.0.1:0")
    threading.Timer(0.05, server.close).start()
    server.run()
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.1", int(server.url.rsplit(":", 1)[1])), 1.0).close()


@posix
def test_a_pty_passes_every_byte_value_both_ways() -> None:
    port = open_port("pty")
    every = bytes(range(256)) * 4
    with closing(serial.Serial(port.url, 250_000, timeout=0)) as device:
        assert port.accept()
        device.write(every)
        heard = b""
        deadline = time.monotonic() + PATIENCE_S
        while len(heard) < len(every) and time.monotonic() < deadline:
            port.accept()
            heard += port.read()
        assert heard == every
        said, came = 0, b""
        while len(came) < len(every) and time.monotonic() < deadline:
            said += port.write(every[said:])
            came += device.read(4096)
        assert came == every
    port.close()
    port.close()


@posix
def test_a_full_pty_takes_no_more_and_never_blocks() -> None:
    port = open_port("pty")
    device = os.open(port.url, os.O_RDWR | os.O_NOCTTY)
    try:
        assert port.accept()
        taken = sum(port.write(b"x" * 4096) for _ in range(100))
        assert 0 < taken < 409_600
        assert port.write(b"x") == 0
    finally:
        os.close(device)
        port.close()


@pytest.mark.parametrize("listen", ["", "com1", "tcp://", "tcp://127.0.0.1", "tcp://127.0.0.1:x", "tcp://:70000"])
def test_what_is_no_port_is_refused_in_a_sentence(listen: str) -> None:
    with pytest.raises(ValueError, match=r"listen"):
        open_port(listen)


def test_a_port_that_is_taken_is_refused_in_a_sentence() -> None:
    taken = open_port("tcp://127.0.0.1:0")
    with pytest.raises(OSError, match=r"can't listen on tcp://127\.0\.0\.1:\d+ .*; choose another port"):
        open_port(taken.url)
    with pytest.raises(OSError, match="can't listen"):
        open_port("tcp://a..b:0")
    taken.close()


def test_on_windows_a_pty_is_refused_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    with pytest.raises(ValueError, match=r"Windows; listen on tcp://127\.0\.0\.1:0"):
        open_port("pty")


def test_events_of_the_board_s_start_are_for_whoever_is_there(stand: Stand) -> None:
    stand.go(0.1)
    with closing(stand.meet()) as client:
        assert EventCode.BOOT not in [m.code for m in client.of(Event)]  # type: ignore[attr-defined]
    assert isinstance(stand.server, Server)
