"""Which column of a table is what, and the first rows as the import screen shows them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tui.library.imports import Import
from tui.widgets.cells import Span

if TYPE_CHECKING:
    from analysis.tables.read import TablePreview

#: Widest column of a preview, and most rows of it.
COLUMN, ROWS = 14, 5


@dataclass(frozen=True, slots=True)
class Mapping:
    """Columns as the reader takes them: by number, with a unit in brackets where the title has none."""

    force: str
    extension: str
    time: str | None
    sheet: str | None

    def check(self, path: Path) -> None:
        """Read the whole table once. Raises TableError that says what is wrong."""
        from analysis.tables.read import read_table

        read_table(
            path, force=self.force, extension=self.extension, time=self.time, sheet=self.sheet, gauge_length_mm=30.0
        )

    def of(self, folder: Path, path: Path, gauge_length_mm: float, diameter_um: float | None) -> Import:
        """The import that is kept."""
        return Import(
            folder=str(folder.absolute()),
            path=str(path),
            force=self.force,
            extension=self.extension,
            time=self.time,
            sheet=self.sheet,
            gauge_length_mm=gauge_length_mm,
            diameter_um=diameter_um,
        )


@dataclass(frozen=True, slots=True)
class Guesses:
    """Which option of each choice is offered first; the time's options begin with none."""

    force: int
    extension: int
    time: int


def guessed(preview: TablePreview) -> Guesses:
    """The reader's guesses as places in the lists of options."""

    def place(number: int | None, otherwise: int) -> int:
        return preview.numbers.index(number) if number in preview.numbers else otherwise

    taken = {preview.guesses.time, preview.guesses.force, preview.guesses.extension}
    free = [number for number in range(len(preview.numbers)) if preview.numbers[number] not in taken] or [0]
    extension = place(preview.guesses.extension, free[0])
    force = place(preview.guesses.force, free[-1])
    return Guesses(force, extension, 1 + place(preview.guesses.time, -1))


def preview_rows(preview: TablePreview, width: int) -> Sequence[Sequence[Span]]:
    """Numbers and titles, units, and the first rows, as many columns as there is room for."""
    room = max(1, (width - 2) // (COLUMN + 1))
    heads = [f"{number} {title}" for number, title in zip(preview.numbers, preview.columns, strict=True)]
    rows = [[Span(_line(heads[:room]), "strong")], [Span(_line(preview.units[:room]), "quiet")]]
    return [*rows, *([Span(_line(row[:room]), "text")] for row in preview.rows[:ROWS])]


def _line(cells: Sequence[str]) -> str:
    return " " + " ".join(f"{cell[:COLUMN]:>{COLUMN}}" for cell in cells)
