"""Commands on files: tables and recordings analysed, recordings verified, captures decoded, ports listed."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from firmware_protocol.codec import encode
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import Ack, Heartbeat, Sample, Stop
from rig import serial_link
from rig.serial_link import PortInfo
from tests.tui.command_line import Cli
from tests.tui.test_cli_pull import assert_is_result


def table(force: str = "Force [N]", extension: str = "Extension [mm]", unit_n: float = 1.0) -> str:
    """A made-up strand of 30 mm that breaks at 12 mm: three straight parts, then nothing."""
    rows = []
    for i in range(600):
        x_mm = 0.025 * i
        force_n = 0.4 * min(x_mm / 0.75, 1.0) + 0.02 * max(min(x_mm, 8.4) - 0.75, 0.0) + 0.1 * max(x_mm - 8.4, 0.0)
        rows.append(f"{x_mm:.4f},{(force_n if x_mm <= 12.0 else 0.0) * unit_n:.5f}")
    return f"{extension},{force}\n" + "\n".join(rows) + "\n"


def test_a_table_of_another_program(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "strip.csv"
    path.write_text(table(), encoding="utf-8")
    said = cli("analyse", "--json", "--gauge-length-mm", "30", "--diameter-um", "70", path)
    assert said.status == 0, said.err
    result = json.loads(said.out)
    assert_is_result(result)
    assert result["simulated"] is False
    # Made to break at 12 mm of 30 mm, at 0.4 + 0.02 x 7.65 + 0.1 x 3.6 = 0.913 N.
    assert result["elongation_at_break_pct"]["value"] == pytest.approx(40.0, abs=0.2)
    assert result["force_at_break_n"]["value"] == pytest.approx(0.913, abs=0.005)


def test_columns_named_by_hand(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "strip.csv"
    path.write_text(table("alpha", "beta", unit_n=1000.0), encoding="utf-8")
    named = ("--force", "2 [mN]", "--extension", "beta [mm]")
    said = cli("analyse", "--json", "--gauge-length-mm", "30", *named, path)
    assert said.status == 0, said.err
    assert json.loads(said.out)["force_at_break_n"]["value"] == pytest.approx(0.913, abs=0.005)


def test_without_a_gauge_length_the_reason_says_what_to_give(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "strip.csv"
    path.write_text(table(), encoding="utf-8")
    said = cli("analyse", "--json", path)
    assert said.status == 0
    assert "--gauge-length-mm" in json.loads(said.out)["elongation_at_break_pct"]["not_measured"]
    as_text = cli("analyse", path)
    assert "Not measured:" in as_text.out
    assert "--gauge-length-mm" in as_text.out


def test_another_guideline(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "strip.csv"
    path.write_text(table(), encoding="utf-8")
    for limit, expected in (("30", "meets"), ("50", "below")):
        said = cli("analyse", "--json", "--gauge-length-mm", "30", "--guideline-pct", limit, path)
        assert json.loads(said.out)["verdict"]["class"] == expected
    own = tmp_path / "own.toml"
    own.write_text("lower_limit_pct = 50.0\nname = 'ours'\nsource = 'invented'\n", encoding="utf-8")
    said = cli("analyse", "--json", "--gauge-length-mm", "30", "--guideline", own, path)
    assert json.loads(said.out)["verdict"]["guideline_pct"] == 50.0


def test_several_files_are_a_list_and_a_pattern_is_expanded(cli: Cli, tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(table(), encoding="utf-8")
    said = cli("analyse", "--json", "--gauge-length-mm", "30", tmp_path / "*.csv")
    assert [Path(result["recording"]).name for result in json.loads(said.out)] == ["a.csv", "b.csv"]
    assert said.status == 0
    as_text = cli("analyse", "--gauge-length-mm", "30", tmp_path / "a.csv", tmp_path / "b.csv")
    assert as_text.out.index("a.csv") < as_text.out.index("b.csv")


def test_text_in_a_file_does_not_steer_the_screen(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "evil.csv"
    path.write_text(table("Force [N]", "\x1b[2J\x1b]0;owned\x07Extension [mm]"), encoding="utf-8")
    for options in ((), ("--force", "\x1b[31mnone")):
        said = cli("analyse", "--gauge-length-mm", "30", *options, path)
        assert "\x1b" not in said.out + said.err
        assert "\x07" not in said.out + said.err


def capture() -> bytes:
    """A short exchange with a gap of two samples and damage in the middle."""
    said = [Stop(7), Ack(7, 0), Heartbeat(), Sample(10, 1000, 5, 6, 1), Sample(13, 2000, 5, 6, 1)]
    frames = [encode_frame(encode(message)) for message in said]
    return b"".join([*frames[:3], b"\x1b[2J\x05\x99\0", *frames[3:]])


def test_a_capture_as_lines(cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "capture.bin"
    path.write_bytes(capture())
    said = cli("decode", path)
    assert said.status == 0
    for words in ("Stop", "Ack", "Heartbeat", "Sample", "DAMAGED", "2 samples missing"):
        assert words in said.out
    assert "\x1b" not in said.out
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(capture())))
    assert cli("decode", "-").out == said.out


def test_an_empty_capture(cli: Cli, tmp_path: Path) -> None:
    (tmp_path / "empty.bin").write_bytes(b"")
    said = cli("decode", tmp_path / "empty.bin")
    assert said.status == 1
    assert "no bytes" in said.err


def test_ports_are_listed_without_what_steers_the_screen(cli: Cli, monkeypatch: pytest.MonkeyPatch) -> None:
    found = (PortInfo("/dev/ttyUSB7", "rig \x1b[2J board", "USB VID:PID=1A86:7523"), PortInfo("COM3", "", ""))
    monkeypatch.setattr(serial_link, "list_ports", lambda: found)
    said = cli("ports")
    assert said.out == "/dev/ttyUSB7  rig board\nCOM3\n"
    assert [port["device"] for port in json.loads(cli("ports", "--json").out)] == ["/dev/ttyUSB7", "COM3"]
    monkeypatch.setattr(serial_link, "list_ports", tuple)
    none = cli("ports")
    assert none.status == 0
    assert "strandbench simulate" in none.out
    assert json.loads(cli("ports", "--json").out) == []
