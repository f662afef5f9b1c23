"""Whatever goes wrong, a person reads one sentence; the program's own mistakes go to a log file."""

from __future__ import annotations

import argparse
import errno
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from recordings.reader import NotARecording
from tests.tui.command_line import ROOT
from tui import failure
from tui.failure import CommandError, guarded
from tui.output import PLAIN_SIGNS, paint, prepare_streams, wants_colour


def raising(error: BaseException) -> int:
    raise error


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [
        (CommandError("Do this instead.", 2), 2, "Do this instead."),
        (NotARecording("x.csv is empty: nothing was recorded in it."), 1, "x.csv is empty"),
        (FileNotFoundError(errno.ENOENT, "No such file", "gone.csv"), 1, "There is no gone.csv; check the name"),
        (PermissionError(errno.EACCES, "Permission denied", "locked.csv"), 1, "may not open locked.csv"),
        (OSError(errno.ENOSPC, "No space left on device", "full.csv"), 1, "The disk is full"),
        (OSError(errno.EIO, "Input/output error", "bad.csv"), 1, "bad.csv cannot be used: input/output error"),
        (KeyboardInterrupt(), 130, "Stopped by the keyboard"),
    ],
)
def test_known_failures(error: BaseException, status: int, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert guarded(lambda: raising(error)) == status
    said = capsys.readouterr()
    assert words in said.err
    assert said.err.count("\n") == 1
    assert said.out == ""


def test_escape_codes_in_a_message_do_not_reach_the_screen(capsys: pytest.CaptureFixture[str]) -> None:
    guarded(lambda: raising(NotARecording("\x1b[2Jevil\x07\n\x9b31mname is empty.")))
    err = capsys.readouterr().err
    assert err == "strandbench: evil name is empty.\n"


def test_an_unknown_mistake_is_logged_and_the_place_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(failure, "_log_file", lambda: tmp_path / "failure.log")
    assert guarded(lambda: raising(KeyError("nobody"))) == 1
    err = capsys.readouterr().err
    assert str(tmp_path / "failure.log") in err
    assert "KeyError" in err
    assert "Traceback" not in err
    assert "Traceback" in (tmp_path / "failure.log").read_text(encoding="utf-8")


def test_an_unknown_mistake_where_no_log_can_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(failure, "_log_file", lambda: tmp_path / "no" / "folder")
    assert guarded(lambda: raising(KeyError("nobody"))) == 1
    assert "no log could be written" in capsys.readouterr().err


def test_a_reader_that_goes_away_is_no_failure_to_talk_about() -> None:
    """As in `strandbench --help | head -0`."""
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "tui", "--help"], cwd=ROOT, stdout=write_end, stderr=subprocess.PIPE, check=False
        )
    finally:
        os.close(write_end)
    assert done.stderr == b""


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437", "utf-8"])
def test_signs_that_an_encoding_lacks_are_written_plainly(encoding: str, monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding=encoding)
    monkeypatch.setattr(sys, "stdout", stream)
    prepare_streams()
    stream.write("✔ 41.3 % ± 0.6 │██▌ MJ/m³ 字")
    stream.flush()
    text = raw.getvalue().decode(encoding)
    assert "41.3 %" in text
    assert text.startswith(("✔", "+"))
    assert "m3" in text or "m³" in text
    assert text.endswith(("字", "?"))


def test_plain_signs_are_plain() -> None:
    for plain in PLAIN_SIGNS.values():
        assert plain.isascii()


class FakeTerminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.skipif(sys.platform == "win32", reason="there colour depends on the terminal program")
def test_colour_is_for_terminals_that_want_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    assert paint("yes", "good", FakeTerminal()) == "\x1b[32myes\x1b[0m"
    assert paint("yes", "good", io.StringIO()) == "yes"
    monkeypatch.setenv("TERM", "dumb")
    assert not wants_colour(FakeTerminal())
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", "1")
    assert not wants_colour(FakeTerminal())


def test_the_parser_never_prints_a_usage_block(capsys: pytest.CaptureFixture[str]) -> None:
    from tui.arguments import Parser, number

    parser = Parser(prog="strandbench test")
    parser.add_argument("--length", type=number(1, 500, "mm"))
    assert parser.parse_args(["--length", "30,5"]) == argparse.Namespace(length=30.5)
    for wrong in ("0", "3000000", "-1", "nan", "inf", "1e9", "abc", "", "\x1b[2J", "30..5", "1,000,000"):
        with pytest.raises(SystemExit):
            parser.parse_args([f"--length={wrong}"])
        err = capsys.readouterr().err
        assert "must be a number between 1 and 500 mm" in err
        assert err.count("\n") == 1
        assert "\x1b" not in err
