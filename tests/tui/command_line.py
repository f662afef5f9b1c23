"""The command line as its user meets it: in this process for speed, or as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from tui.__main__ import main

ROOT = Path(__file__).resolve().parent.parent.parent

#: A command that takes longer than this hangs [s].
PATIENCE_S = 60.0


@dataclass(frozen=True)
class Said:
    """What a command said, and its exit status."""

    status: int
    out: str
    err: str


Cli = Callable[..., Said]


@pytest.fixture
def cli(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Cli:
    """Run the command line in this process, apart from the calibrations and logs of whoever runs the tests."""
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path.parent / f"home-of-{tmp_path.name}"))

    def run(*arguments: object) -> Said:
        capsys.readouterr()
        status = main([str(a) for a in arguments])
        said = capsys.readouterr()
        return Said(status, said.out, said.err)

    return run


def spawn(*arguments: object, **options: object) -> subprocess.Popen[str]:
    """Start the command line as a process of its own, without a terminal."""
    return subprocess.Popen(
        [sys.executable, "-m", "tui", *map(str, arguments)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        **options,  # type: ignore[call-overload]
    )


def run_process(*arguments: object, cwd: Path | None = None) -> Said:
    """Run the command line as a process of its own, to its end."""
    with spawn(*arguments, cwd=cwd) as process:
        try:
            out, err = process.communicate(timeout=PATIENCE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            raise
    return Said(process.returncode, out, err)


def assert_one_sentence(said: Said) -> str:
    """Nothing but one line on stderr, that says something; no traceback anywhere. Gives the line."""
    assert said.status not in (0, None)
    lines = said.err.strip().splitlines()
    assert len(lines) == 1, said.err
    assert lines[0].startswith("strandbench: ")
    assert lines[0].endswith((".", "shows how."))
    assert len(lines[0]) > 40
    assert "Traceback" not in said.err + said.out
    assert "\x1b" not in said.err + said.out
    return lines[0]
