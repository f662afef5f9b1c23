"""Ends of a pull with real threads, sockets and processes, where a clock of our own can't stand in.

Nothing here is timed: the tests wait for what must come, and the time limits are only there so that a failure
ends. The stated times are held in `test_stop`, in lockstep.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from firmware_protocol.vocabulary import StopReason
from recordings.reader import read_recording
from rig.connect import connect
from rig.errors import LinkLost
from rig.run import PullRun
from rig.simulated.server import Server, serve
from rig.simulated.settings import SimulationSettings
from tests.rig.pulls import Watcher, plan, pulled

ROOT = Path(__file__).parents[2]
PATIENCE_S = 30.0
PORTS = ["tcp://127.0.0.1:0", pytest.param("pty", marks=pytest.mark.skipif(os.name != "posix", reason="no pty"))]


def wait_until(condition: Callable[[], bool]) -> None:
    """Wait for something that must come."""
    deadline = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < deadline, "it did not come"
        time.sleep(0.005)


def motion_ended(server: Server) -> bool:
    return not server.board.machine.stage.moving


@pytest.mark.parametrize("listen", PORTS)
def test_whole_pull(tmp_path: Path, listen: str) -> None:
    with serve(SimulationSettings(time_scale=20.0), listen) as server, connect(server.url) as stretcher:
        run = PullRun(stretcher, plan(tmp_path))
        run.start()
        outcome = run.wait(PATIENCE_S)
    assert outcome is not None
    assert outcome.end_reason == "break"
    assert outcome.lost == 0
    assert read_recording(outcome.path).complete


def test_serial_library_reads_sockets_in_bulk(tmp_path: Path) -> None:
    """The library's socket:// says that at most 1 byte is waiting: at 1000 readings a second it must not matter."""
    settings = SimulationSettings(rate_hz=1000.0, time_scale=2.0)
    with serve(settings) as server, connect(server.url.replace("tcp:", "socket:")) as stretcher:
        run = PullRun(stretcher, plan(tmp_path, method={"speed_mm_min": 600.0}))
        outcome = run.run()
    assert outcome.end_reason == "break"
    assert outcome.lost == 0
    assert outcome.rows > 2000


def test_rig_that_another_program_uses() -> None:
    with (
        serve(SimulationSettings()) as server,
        connect(server.url),
        pytest.raises(LinkLost, match="another program"),
    ):
        connect(server.url).open()


@pytest.mark.parametrize("listen", PORTS)
def test_key_from_another_thread(tmp_path: Path, listen: str) -> None:
    pressed = threading.Event()
    with serve(SimulationSettings(), listen) as server, connect(server.url) as stretcher:
        run = PullRun(stretcher, plan(tmp_path), Watcher(pulled(0.2), pressed.set))
        run.start()
        assert pressed.wait(PATIENCE_S)
        run.request_stop()
        outcome = run.wait(PATIENCE_S)
        assert outcome is not None
        assert outcome.end_reason == "key"
        assert outcome.motor_confirmed
        assert motion_ended(server)
        assert server.board.machine.reason is StopReason.COMMAND
    assert read_recording(outcome.path).complete


@pytest.mark.parametrize("listen", PORTS)
def test_cable_out(tmp_path: Path, listen: str) -> None:
    settings = SimulationSettings(faults=())
    with serve(settings, listen) as server, connect(server.url) as stretcher:
        run = PullRun(stretcher, plan(tmp_path), Watcher(pulled(0.2), server._port.drop))
        outcome = run.run()
        assert outcome.end_reason == "link_lost"
        assert not outcome.motor_confirmed
        wait_until(lambda: motion_ended(server))
        assert server.board.machine.reason is StopReason.HOST_SILENT
    assert read_recording(outcome.path).complete


@pytest.mark.skipif(os.name != "posix", reason="Windows has no SIGKILL")
@pytest.mark.parametrize("listen", PORTS)
@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM", "SIGINT", "SIGSTOP"])
def test_host_killed(tmp_path: Path, listen: str, how: str) -> None:
    """A program that is ended from outside: the board stops by itself, and what was recorded is there."""
    program = textwrap.dedent(
        """
        import sys
        from pathlib import Path
        from rig.connect import connect
        from rig.run import run_pull
        from tests.rig.pulls import plan, pulled, Watcher
        with connect(sys.argv[1]) as stretcher:
            run_pull(stretcher, plan(Path(sys.argv[2])), Watcher(pulled(0.2), lambda: print("pulling", flush=True)))
        """
    )
    with serve(SimulationSettings(), listen) as server:
        child = subprocess.Popen(
            [sys.executable, "-c", program, server.url, str(tmp_path)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        try:
            assert child.stdout is not None
            assert child.stdout.readline() == b"pulling\n"
            assert not motion_ended(server)
            child.send_signal(getattr(signal, how))
            wait_until(lambda: motion_ended(server))
            wanted = StopReason.COMMAND if how == "SIGINT" else StopReason.HOST_SILENT
            assert server.board.machine.reason is wanted
        finally:
            child.kill()
            child.wait(PATIENCE_S)
            if child.stdout:
                child.stdout.close()
    (path,) = tmp_path.glob("*.pull.csv")
    recording = read_recording(path)
    assert len(recording.rows) > 80
    assert not recording.altered
    if how != "SIGINT":
        assert recording.end is None
