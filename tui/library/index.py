"""The index of a folder: what is known of its files is kept, so that ten thousand of them open at once.

An entry holds as long as its file has the same time and size; results hold for one version of the program. Owns
reading what is new, with progress. Knows no screens. Blocks; called beside the screen.
"""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from recordings.format import SUFFIX
from tui.analysing import Wishes
from tui.library.imports import imported
from tui.library.item import Item, from_line, to_line
from tui.library.reading import head_of, with_result
from tui.notes import NOTES_SUFFIX
from tui.store.files import load, save
from tui.store.place import StoreProblem

#: What is new is told, and kept, at most this often [s].
TELL_S, KEEP_S = 0.5, 10.0


@dataclass(frozen=True, slots=True)
class Kept:
    """The index as it is kept: one line an item, by path."""

    lines: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Listed:
    """The files of a folder: stamps by path, newest name first; which have notes; how the tables are read."""

    stamps: dict[str, str]
    noted: frozenset[str]
    tables: dict[str, Wishes]
    #: A sentence where the folder can't be read.
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """What is known so far: every item, and how many of them still wait for their result."""

    items: tuple[Item, ...]
    waiting: int
    problem: str = ""
    #: Paths of those with notes beside them.
    noted: frozenset[str] = frozenset()


def demo_folder() -> Path:
    """Where the demonstration recordings are."""
    from importlib import resources

    return Path(str(resources.files("recordings.demo")))


def listed(folder: Path) -> Listed:
    """The recordings in a folder, and the tables that were imported while it was in use."""
    problem, stamps, noted = "", {}, set()
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.endswith(SUFFIX) and entry.is_file():
                    stamps[entry.path] = _stamp(entry.stat())
                elif entry.name.endswith(NOTES_SUFFIX):
                    noted.add(entry.path.removesuffix(NOTES_SUFFIX) + SUFFIX)
    except FileNotFoundError:
        pass
    except OSError as trouble:
        problem = (trouble.strerror or str(trouble)).lower()
    tables = imported(folder)
    for path in tables:
        if Path(path).is_file():
            stamps[path] = _stamp(Path(path).stat())
    newest_first = dict(sorted(stamps.items(), key=lambda pair: pair[0].rpartition(os.sep)[2], reverse=True))
    return Listed(newest_first, frozenset(noted), tables, problem)


def kept_items(folder: Path, files: Listed) -> dict[str, Item]:
    """What the kept index knows of files that have not changed since."""
    try:
        lines = (load(name_of(folder), Kept).value or Kept()).lines
    except StoreProblem:
        return {}  # it is read anew, and can't be kept: nothing is lost but time
    found = {path: from_line(lines[path]) for path in files.stamps if path in lines}
    return {path: item for path, item in found.items() if item is not None and item.stamp == files.stamps[path]}


def keep_items(folder: Path, items: dict[str, Item]) -> None:
    """Keep the index. Where that fails it is read anew the next time."""
    try:
        save(name_of(folder), Kept({path: to_line(item) for path, item in items.items()}))
    except StoreProblem:
        return


def name_of(folder: Path) -> str:
    """The name of a folder's index in the store."""
    digest = hashlib.sha256(os.fsencode(folder.absolute())).hexdigest()[:12]
    return f"library-{digest}"


def index(folder: Path, cancelled: Callable[[], bool], *, anew: bool = False) -> Iterator[Progress]:
    """All items of a folder, first as far as known, then growing until every one has its result."""
    from tui.version import version

    files, software = listed(folder), version()
    items = {} if anew else kept_items(folder, files)
    fresh = [path for path in files.stamps if path not in items]
    for path in fresh:
        items[path] = head_of(Path(path), files.stamps[path], files.tables.get(path))
    items = {path: items[path] for path in files.stamps}
    waiting = [path for path, item in items.items() if not item.has_result or _is_older(item, software)]

    def progress(left: int) -> Progress:
        return Progress(tuple(items.values()), left, files.problem, files.noted)

    told_s = kept_s = time.monotonic()
    yield progress(len(waiting))
    for done, path in enumerate(waiting, 1):
        if cancelled():
            break
        items[path] = with_result(items[path], software, files.tables.get(path, Wishes()))
        now_s = time.monotonic()
        if now_s - told_s >= TELL_S:
            told_s = now_s
            yield progress(len(waiting) - done)
        if now_s - kept_s >= KEEP_S:
            kept_s = now_s
            keep_items(folder, items)
    if waiting or fresh:
        keep_items(folder, items)
        yield progress(0)


def _is_older(item: Item, software: str) -> bool:
    """Whether its result is of another version of the program; a file whose head can't be read has none."""
    return bool(item.software) and item.software != software


def _stamp(stat: os.stat_result) -> str:
    return f"{stat.st_mtime_ns}-{stat.st_size}"
