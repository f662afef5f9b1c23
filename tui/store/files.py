"""One value a file, of those that change (settings, a card with its timers, a plan): whole or not at all.

A new value is written beside the old one and takes its place in one step. A file that cannot be understood is set
aside under another name, with a sentence for the person; one from a newer version of the program is left where it
is. The values are dataclasses as `tui.store.typed` takes them. What only grows is in `tui.store.logs`.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Generic, TypeVar

from tui import wording_store as wording
from tui.safe_text import clean
from tui.store.place import StoreProblem, cannot, packed, parsed, path_of, unpacked, version_of
from tui.store.typed import Misfit

T = TypeVar("T")

SUFFIX = ".json"


@dataclass(frozen=True, slots=True)
class Loaded(Generic[T]):
    """What was found: a value, or None where there is none. `problem` is a sentence where one was set aside."""

    value: T | None
    problem: str = ""


def load(name: str, cls: type[T]) -> Loaded[T]:
    """The value kept under a name. Raises StoreProblem where it can't be read or is from a newer program."""
    path = path_of(name, SUFFIX)
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return Loaded(None)
    except OSError as problem:
        raise cannot(wording.CANNOT_READ, path, problem) from problem
    try:
        return Loaded(unpacked(cls, data, path))
    except Misfit as misfit:
        return Loaded(None, _set_aside(path, str(misfit)))


def save(name: str, value: object) -> None:
    """Keep a value under a name, instead of the one before. Raises StoreProblem; the one before then stays."""
    path = path_of(name, SUFFIX)
    data = packed(value, indent=1)
    _refuse_newer(path, type(value))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _replace(path, data)
    except OSError as problem:
        raise cannot(wording.CANNOT_WRITE, path, problem) from problem


def _refuse_newer(path: Path, cls: type) -> None:
    """Leave a file alone that a newer program has written. Raises StoreProblem."""
    with contextlib.suppress(OSError, Misfit):
        version = parsed(path.read_bytes()).get("version")
        if isinstance(version, int) and version > version_of(cls):
            raise StoreProblem(wording.NEWER.format(path=clean(str(path))))


def _replace(path: Path, data: bytes) -> None:
    """Write beside the file and take its place; whoever reads at any moment finds the old one or the new one."""
    handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".new", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).replace(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    """Make the new name itself last, where the system can (Windows has no such call)."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _set_aside(path: Path, why: str) -> str:
    """Give a file that can't be understood another name; the sentence about it. Raises StoreProblem."""
    when = f"{datetime.now():%Y%m%d-%H%M%S}"
    aside = next(one for one in _names_aside(path, when) if not one.exists())
    try:
        path.rename(aside)
    except OSError as problem:
        raise cannot(wording.CANNOT_SET_ASIDE, path, problem) from problem
    return wording.SET_ASIDE.format(path=clean(str(path)), why=clean(why), aside=aside.name)


def _names_aside(path: Path, when: str) -> Iterator[Path]:
    yield path.with_name(f"{path.stem}.damaged-{when}{SUFFIX}")
    number = 2
    while True:
        yield path.with_name(f"{path.stem}.damaged-{when}-{number}{SUFFIX}")
        number += 1
