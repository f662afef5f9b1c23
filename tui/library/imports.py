"""Tables of other programs that a person has imported: where they are and how they are read. Kept in the store."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tui.analysing import Wishes
from tui.store.files import load, save
from tui.store.place import StoreProblem

NAME = "imports"


@dataclass(frozen=True, slots=True)
class Import:
    """One table: its columns as given to the reader, and what it does not say of its strand.

    `folder` is the one of the library that it was imported into.
    """

    folder: str
    path: str
    force: str
    extension: str
    time: str | None = None
    sheet: str | None = None
    gauge_length_mm: float | None = None
    diameter_um: float | None = None

    @property
    def wishes(self) -> Wishes:
        """How it is analysed."""
        return Wishes(
            gauge_length_mm=self.gauge_length_mm,
            diameter_um=self.diameter_um,
            time=self.time,
            force=self.force,
            extension=self.extension,
            sheet=self.sheet,
        )


@dataclass(frozen=True, slots=True)
class Imports:
    """All of them, in the order in which they were imported."""

    tables: tuple[Import, ...] = ()


def all_imports() -> tuple[Import, ...]:
    """What is kept; nothing where it can't be read."""
    try:
        return (load(NAME, Imports).value or Imports()).tables
    except StoreProblem:
        return ()


def imported(folder: Path) -> dict[str, Wishes]:
    """How each table of a folder's library is read, by path."""
    here = str(folder.absolute())
    return {one.path: one.wishes for one in all_imports() if one.folder == here}


def wishes_for(path: Path) -> Wishes:
    """How a file is analysed: as it was imported, else as it says itself."""
    return next((one.wishes for one in reversed(all_imports()) if one.path == str(path)), Wishes())


def keep_import(table: Import) -> None:
    """Keep how a table is read, instead of how it was read before. Raises StoreProblem."""
    others = tuple(one for one in all_imports() if (one.folder, one.path) != (table.folder, table.path))
    save(NAME, Imports((*others, table)))
