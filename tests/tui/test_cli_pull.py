"""Whole pulls by command, over a real port on the simulated rig: what is printed, kept and answered."""

from __future__ import annotations

import json
import re
import signal
import sys
from pathlib import Path
from typing import Any

import pytest

from recordings.reader import read_recording, verify_recording
from tests.tui.command_line import PATIENCE_S, Cli, run_process, spawn
from tests.tui.rigs import listening, print_lines, simulated

PULL = ("--gauge-length-mm", "30", "--yes")

#: The keys of a result in the order in which they are promised.
KEYS = [
    "recording", "complete", "simulated", "outcome",
    "elongation_at_break_pct", "elongation_reached_pct", "force_max_n", "force_at_break_n", "stress_at_break_mpa",
    "initial_modulus_gpa", "yield_strain_pct", "yield_stress_mpa", "post_yield_strain_pct", "work_to_20pct_mj_m3",
    "work_to_break_mj_m3", "work_to_break_uj", "verdict", "flags",
]  # fmt: skip


def assert_is_result(result: dict[str, Any]) -> None:
    """The promised shape: units in the names, a value with its uncertainty or a reason."""
    assert list(result) == KEYS
    for key in KEYS[4:16]:
        quantity = result[key]
        if key == "elongation_reached_pct":
            assert quantity is None or isinstance(quantity, float)
        elif "not_measured" in quantity:
            assert list(quantity) == ["not_measured"]
            assert len(quantity["not_measured"]) > 20
        else:
            assert list(quantity) == ["value", "u"]
            assert quantity["u"] >= 0
    assert list(result["verdict"]) == ["class", "guideline_pct", "probability_meets", "statement"]
    assert all(list(flag) == ["code", "message"] for flag in result["flags"])


def test_a_pull_is_recorded_and_its_result_printed(cli: Cli, tmp_path: Path) -> None:
    described = (
        "--reference",
        "H12",
        "--strand",
        "3",
        "--zone",
        "crown",
        "--history",
        "virgin",
        "--condition",
        "dry",
    )
    with simulated("virgin") as address:
        said = cli("pull", "--port", address, *PULL, "--diameter-um", "70", *described, "--out", tmp_path, "--json")
    assert said.status == 0, said.err
    result = json.loads(said.out)
    assert_is_result(result)
    assert result["outcome"] == "broke"
    assert result["simulated"] is True
    assert result["complete"] is True
    assert result["verdict"]["class"] == "meets"
    path = Path(result["recording"])
    assert path.parent == tmp_path
    assert verify_recording(path).ok
    recording = read_recording(path)
    specimen, method = recording.header.specimen, recording.header.method
    assert (specimen.reference, specimen.strand, specimen.zone) == ("H12", "3", "crown")
    assert (specimen.history, specimen.condition, specimen.diameter_um) == ("virgin", "dry", 70.0)
    # Without a speed the rate is 60 % of the gauge length a minute.
    assert method.speed_mm_min == pytest.approx(18.0)
    assert recording.end is not None
    assert recording.end.reason == "break"
    again = cli("analyse", "--json", path)
    assert json.loads(again.out) == result, "the file gives the result again, to the last digit"


def test_the_story_and_the_result_as_text(cli: Cli, tmp_path: Path) -> None:
    with simulated("over-processed") as address:
        said = cli("pull", "--port", address, *PULL, "--out", tmp_path)
    assert said.status == 0
    for words in (
        "Connected to simulated rig",
        "eye protection",
        "not a medical",
        "keep fingers away",
        "Recorded in",
    ):
        assert words in said.err
    assert said.err.index("eye protection") < said.err.index("pulling:"), "the cautions come before the motion"
    rows = re.findall(r"^ +(\d+) % +(-?\d+\.\d+) N │", said.err, re.MULTILINE)
    assert [int(stretch) for stretch, _ in rows[:3]] == [0, 2, 4], "the curve grows"
    assert "✘ Below the guideline of 20 %" in said.out
    assert "elongation at break" in said.out
    assert "guideline 20 %" in said.out
    assert "\x1b" not in said.out + said.err, "no colour where there is no terminal"


def test_two_pulls_never_share_a_file(cli: Cli, tmp_path: Path) -> None:
    with simulated("over-processed") as address:
        paths = [
            json.loads(cli("pull", "--port", address, *PULL, "--return", "--out", tmp_path, "--json").out)[
                "recording"
            ]
            for _ in range(2)
        ]
    assert len(set(paths)) == 2
    assert all(verify_recording(Path(path)).ok for path in paths)


@pytest.mark.parametrize(
    ("strand", "fault", "reason", "status", "outcome"),
    [
        ("never-breaking", None, "travel_limit", 0, "no_break"),
        ("virgin", "emergency-stop@3", "emergency_stop", 1, "stopped"),
        ("virgin", "unplug@3", "link_lost", 1, "stopped"),
        ("virgin", "reset@3", "board_reset", 1, "stopped"),
        ("virgin", "dead-sensor@3", "sensor_fault", 1, "stopped"),
    ],
)
def test_other_ends_of_a_pull(
    cli: Cli, tmp_path: Path, strand: str, fault: str | None, reason: str, status: int, outcome: str
) -> None:
    """The recording survives each, a result is printed as far as there is one, and only a full pull is success."""
    with simulated(strand, *([fault] if fault else [])) as address:
        said = cli("pull", "--port", address, *PULL, "--out", tmp_path, "--json")
    assert said.status == status, said.err
    (path,) = tmp_path.glob("*.pull.csv")
    recording = read_recording(path)
    assert recording.complete
    assert recording.end is not None
    assert recording.end.reason == reason
    result = json.loads(said.out)
    assert_is_result(result)
    assert result["outcome"] == outcome
    complaints = [line for line in said.err.splitlines() if line.startswith("strandbench: ")]
    assert len(complaints) == (1 if status else 0)


def test_a_force_limit_stops_the_pull(cli: Cli, tmp_path: Path) -> None:
    with simulated("virgin") as address:
        said = cli("pull", "--port", address, *PULL, "--force-limit-n", "0.3", "--out", tmp_path, "--json")
    assert said.status == 1
    assert json.loads(said.out)["outcome"] == "stopped"
    assert "force limit" in said.err


@pytest.mark.skipif(sys.platform == "win32", reason="there Ctrl-C cannot be sent to one process alone")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_ctrl_c_stops_the_motor_and_keeps_the_recording(tmp_path: Path, number: signal.Signals) -> None:
    with simulated("never-breaking", time_scale=1.0) as address:
        with spawn("pull", "--port", address, *PULL, "--out", tmp_path) as process:
            assert process.stderr is not None
            pulling = any(" 2 % " in line for line in iter(process.stderr.readline, ""))
            process.send_signal(number)
            out, err = process.communicate(timeout=PATIENCE_S)
        assert process.returncode == 130, err
    assert pulling
    (path,) = tmp_path.glob("*.pull.csv")
    recording = read_recording(path)
    assert recording.complete
    assert recording.end is not None
    assert recording.end.reason == "key"
    assert "stopped" in out
    assert err.rstrip().splitlines()[-1].startswith("strandbench: The pull was stopped by the person")
    assert "Traceback" not in err


def test_no_question_where_nobody_can_answer(tmp_path: Path) -> None:
    """Without --yes and without a terminal: the cautions are shown, and nothing waits."""
    with (
        simulated("over-processed") as address,
        spawn("pull", "--port", address, "--gauge-length-mm", "30", "--out", tmp_path) as process,
    ):
        _, err = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0, err
    assert "[y/N]" not in err
    assert "eye protection" in err


class Terminal:
    """Something on the other side of stdin that is asked and answers."""

    def __init__(self, answer: str) -> None:
        self.answer = answer

    def isatty(self) -> bool:
        return True

    def readline(self) -> str:
        return self.answer


@pytest.mark.parametrize(
    ("answer", "moves"), [("y\n", True), ("YES\n", True), ("\n", False), ("", False), ("n\n", False)]
)
def test_a_terminal_is_asked_before_a_real_rig_moves(
    answer: str, moves: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from tui.consent import get_consent
    from tui.failure import CommandError

    monkeypatch.setattr(sys, "stdin", Terminal(answer))
    if moves:
        get_consent(agreed=False)
    else:
        with pytest.raises(CommandError, match="Nothing was moved"):
            get_consent(agreed=False)
    assert "[y/N]" in capsys.readouterr().err


def test_a_name_with_escape_codes_does_not_steer_the_screen(cli: Cli, tmp_path: Path) -> None:
    evil = "\x1b[2J\x1b]0;owned\x07H12[bold]"
    with simulated("over-processed") as address:
        said = cli("pull", "--port", address, *PULL, "--reference", evil, "--zone", evil, "--out", tmp_path)
    assert said.status == 0
    assert "\x1b" not in said.out + said.err
    assert "\x07" not in said.out + said.err
    (path,) = tmp_path.glob("*.pull.csv")
    assert "\x1b" not in path.read_text(encoding="utf-8")


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals")
def test_a_pull_over_a_serial_device(cli: Cli, tmp_path: Path) -> None:
    """The device name of a pseudo-terminal, as of a USB adapter."""
    from rig.simulated.server import serve
    from rig.simulated.settings import SimulationSettings

    with serve(SimulationSettings(strand="over-processed", time_scale=25.0), "pty") as server:
        said = cli("pull", "--port", server.url, *PULL, "--out", tmp_path, "--json")
    assert said.status == 0, said.err
    assert json.loads(said.out)["outcome"] == "broke"


def test_the_process_ends_by_itself(tmp_path: Path) -> None:
    """No thread keeps the program alive once it has said everything."""
    with simulated("over-processed") as address:
        said = run_process("pull", "--port", address, *PULL, "--out", tmp_path, "--json")
    assert said.status == 0, said.err
    assert json.loads(said.out)["outcome"] == "broke"


def test_a_board_that_only_prints_lines(cli: Cli, tmp_path: Path) -> None:
    columns = "time_ms,force_mn,position_um,-"
    with listening(print_lines) as address:
        said = cli("pull", "--port", address, *PULL, "--lines", columns, "--out", tmp_path, "--json")
    assert said.status == 0, said.err
    assert "The motion is yours" in said.err
    assert "eye protection" in said.err
    result = json.loads(said.out)
    assert_is_result(result)
    assert result["outcome"] == "broke"
    # Made to break at 8 mm of 30 mm; it stretched from the first moment on.
    assert result["elongation_at_break_pct"]["value"] == pytest.approx(26.7, abs=0.6)
    recording = read_recording(Path(result["recording"]))
    assert recording.header.rig.line_columns == columns
    assert recording.header.method.kind == "by_hand"


def test_lines_that_do_not_fit_their_columns(cli: Cli, tmp_path: Path) -> None:
    with listening(print_lines) as address:
        for columns, words in (("time_ms,force_mn", "does not fit the columns"), ("weight,height", "weight")):
            said = cli("pull", "--port", address, *PULL, "--lines", columns, "--out", tmp_path / "none")
            assert said.status == 1
            assert words in said.err.splitlines()[-1]
    assert not (tmp_path / "none").exists()
