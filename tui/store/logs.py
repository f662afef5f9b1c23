"""Values that only grow in number (guesses, events): one line each, so that a torn line costs that line alone.

Nothing is ever rewritten: a line that cannot be understood stays in the file, and is left out with a sentence.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import BinaryIO, Generic, TypeVar

from tui import wording_store as wording
from tui.safe_text import clean
from tui.store.place import StoreProblem, cannot, packed, path_of, unpacked
from tui.store.typed import Misfit

T = TypeVar("T")

SUFFIX = ".jsonl"


@dataclass(frozen=True, slots=True)
class LogRead(Generic[T]):
    """The entries of a log, oldest first; `problem` is a sentence where lines in it could not be understood."""

    entries: tuple[T, ...]
    problem: str = ""


def append(name: str, *entries: object) -> None:
    """Add entries to a log, and have them on the disk when this returns. Raises StoreProblem."""
    path = path_of(name, SUFFIX)
    lines = b"".join(packed(entry) + b"\n" for entry in entries)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("ab+") as file:
            # A line that a power cut has torn is ended first. One write: lines of two programs do not mix.
            file.write((b"" if _ends_a_line(file) else b"\n") + lines)
            file.flush()
            os.fsync(file.fileno())
    except OSError as problem:
        raise cannot(wording.CANNOT_WRITE, path, problem) from problem


def _ends_a_line(file: BinaryIO) -> bool:
    if file.seek(0, os.SEEK_END) == 0:
        return True
    file.seek(-1, os.SEEK_END)
    return file.read(1) == b"\n"


def read_log(name: str, cls: type[T]) -> LogRead[T]:
    """The entries of a log. Raises StoreProblem where it can't be read."""
    path = path_of(name, SUFFIX)
    try:
        lines = path.read_bytes().split(b"\n")
    except FileNotFoundError:
        return LogRead(())
    except OSError as trouble:
        raise cannot(wording.CANNOT_READ, path, trouble) from trouble
    entries, bad = [], []
    for number, line in enumerate(lines, 1):
        if line.strip():
            try:
                entries.append(unpacked(cls, line, path))
            except (Misfit, StoreProblem):
                bad.append(str(number))
    numbers = clean(", ".join(bad))
    problem = wording.LINES_LEFT_OUT.format(path=clean(str(path)), numbers=numbers) if bad else ""
    return LogRead(tuple(entries), problem)
