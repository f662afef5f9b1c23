"""A command in a pseudo-terminal of its own: what it shows is waited for, what it asks is typed."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import tempfile
import time
from types import TracebackType
from typing import Self

from tests.tui.command_line import PATIENCE_S, ROOT


class Terminal:
    """The command line at a terminal, with a folder for calibrations of its own."""

    def __init__(self, *arguments: object) -> None:
        self._home = tempfile.TemporaryDirectory()
        self._master, device = os.openpty()
        home = {"XDG_DATA_HOME": self._home.name, "XDG_STATE_HOME": self._home.name}
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tui", *map(str, arguments)],
            stdin=device,
            stdout=device,
            stderr=device,
            env={**os.environ, **home, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "NO_COLOR": "1"},
        )
        os.close(device)
        self._shown = ""
        self._seen = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.kill()
        self._process.wait()
        os.close(self._master)
        self._home.cleanup()

    def wait_for(self, words: str) -> None:
        """Wait until these words are shown, after those waited for before."""
        deadline_s = time.monotonic() + PATIENCE_S
        while (place := self._shown.find(words, self._seen)) < 0:
            assert time.monotonic() < deadline_s, f"{words!r} never came:\n{self._shown}"
            assert self._read(), f"{words!r} never came, and the command has ended:\n{self._shown}"
        self._seen = place + len(words)

    def type(self, line: str) -> None:
        """Type a line and Enter."""
        os.write(self._master, f"{line}\n".encode())

    def end(self) -> int:
        """Wait for the end; the exit status."""
        while self._read():
            pass
        return self._process.wait(PATIENCE_S)

    def _read(self) -> bool:
        """Take in what is shown; False where nothing more will come."""
        ready, _, _ = select.select([self._master], [], [], 0.2)
        if not ready:
            return self._process.poll() is None
        try:
            data = os.read(self._master, 65_536)
        except OSError:
            return False
        self._shown += data.decode("utf-8", errors="replace")
        return bool(data)
