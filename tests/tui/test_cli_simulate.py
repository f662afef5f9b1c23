"""`simulate` and `demo` as processes of their own, as another program or a newcomer starts them."""

from __future__ import annotations

import json
import signal
import socket
import sys
from pathlib import Path

import pytest

from recordings.reader import read_recording, verify_recording
from rig.connect import connect
from rig.simulated.catalogue import KINDS as STRANDS
from rig.simulated.faults import KINDS as FAULTS
from tests.tui.command_line import PATIENCE_S, Cli, run_process, spawn
from tests.tui.test_cli_pull import assert_is_result

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="there Ctrl-C cannot be sent to one process alone")


@POSIX
@pytest.mark.parametrize("listen", ["tcp://127.0.0.1:0", "pty"])
def test_it_says_where_it_listens_at_once_and_ends_with_ctrl_c(listen: str) -> None:
    with spawn("simulate", "--listen", listen, "--strand", "lightened") as process:
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        with connect(address) as stretcher:
            assert stretcher.facts.simulated
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0, err
    assert out == "", "the address is all it says on stdout"
    assert f"strandbench pull --port {address}" in err
    assert "Traceback" not in err


@POSIX
def test_it_ends_cleanly_when_told_to() -> None:
    with spawn("simulate", "--listen", "tcp://127.0.0.1:0") as process:
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        process.terminate()
        _, err = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0, err
    host, port = address.removeprefix("tcp://").split(":")
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection((host, int(port)), timeout=2.0)


def test_the_list_names_every_strand_and_fault(cli: Cli) -> None:
    said = cli("simulate", "--list")
    assert said.status == 0
    for kind in (*STRANDS.values(), *FAULTS.values()):
        assert f"  {kind.name} " in said.out
        assert kind.doc in said.out


def test_the_demo_tells_the_whole_job(tmp_path: Path) -> None:
    said = run_process("demo", "--headless", "--time-scale", "25", cwd=tmp_path)
    assert said.status == 0, said.err
    told = said.err
    for words in ("eye protection", "listens at tcp://127.0.0.1:", "Connected to", "force zero", "Recorded in"):
        assert words in told
    assert "invented" in told
    assert "✔ Meets the guideline of 20 %" in said.out
    assert "✘ Below the guideline of 20 %" in said.out
    assert "±" in said.out
    recordings = sorted((tmp_path / "pulls").glob("*.pull.csv"))
    assert len(recordings) == 2
    for path in recordings:
        assert verify_recording(path).ok
        header = read_recording(path).header
        assert header.simulated
        assert header.simulation["strand"] in STRANDS
    assert sorted(p.name for p in tmp_path.iterdir()) == ["pulls"], "nothing is left lying about"


def test_the_demo_as_json_is_a_list_of_results(cli: Cli, tmp_path: Path) -> None:
    said = cli("demo", "--json", "--time-scale", "50", "--out", tmp_path)
    assert said.status == 0, said.err
    results = json.loads(said.out)
    assert [result["verdict"]["class"] for result in results] == ["meets", "below"]
    for result in results:
        assert_is_result(result)


def test_the_demo_of_one_strand(cli: Cli, tmp_path: Path) -> None:
    one = ("--strand", "slipping", "--against", "none")
    said = cli("demo", "--json", *one, "--time-scale", "50", "--out", tmp_path)
    assert json.loads(said.out)["outcome"] == "slipped"
    assert said.status == 0, said.err


def test_the_demo_never_says_that_a_treatment_is_safe(cli: Cli, tmp_path: Path) -> None:
    said = cli("demo", "--headless", "--time-scale", "50", "--out", tmp_path)
    assert "safe" not in said.out + said.err
