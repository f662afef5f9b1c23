"""Other people's tables as traces: CSV, TSV, text and spreadsheets of force and extension, in whatever units.

Owns the way from a file to a `Trace`, and what is said about it. Forces are positive in tension and extension in
the stretching direction: a table with the opposite sign is turned round, with a note.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from analysis.tables.columns import Column, Layout, choose, find_layout
from analysis.tables.files import Grid, TableError, load_grids, named_sheet
from analysis.tables.physical import extension_mm, force_n, resolution, time_s
from analysis.tables.rows import read_rows
from analysis.tables.words import EXTENSION, FORCE, TIME
from analysis.trace import Trace
from recordings.format import Specimen
from recordings.plausible import specimen_problem
from recordings.text import shown

__all__ = ["ColumnGuesses", "TableError", "TablePreview", "preview_table", "read_table"]

#: How many rows a preview shows.
PREVIEW_ROWS = 10

Wanted = str | int | None


@dataclass(frozen=True, slots=True)
class ColumnGuesses:
    """Numbers, from 1, of the columns that would be taken; None where none can be told."""

    time: int | None
    force: int | None
    extension: int | None


@dataclass(frozen=True, slots=True)
class TablePreview:
    """What an import screen shows before a table is read: texts are fit to be shown.

    `columns` are the titles of all columns with numbers in them and `numbers` which columns of the file they are,
    `units` their units as understood (empty where there is none), `rows` their first cells, `problem` the sentence
    with which reading would fail as things stand.
    """

    name: str
    sheet: str
    sheets: tuple[str, ...]
    columns: tuple[str, ...]
    numbers: tuple[int, ...]
    units: tuple[str, ...]
    guesses: ColumnGuesses
    rows: tuple[tuple[str, ...], ...]
    problem: str


@dataclass(frozen=True, slots=True)
class _Table:
    """A sheet with its chosen columns."""

    grid: Grid
    layout: Layout
    columns: dict[str, Column]
    notes: tuple[tuple[str, str], ...]


def read_table(
    path: Path,
    *,
    gauge_length_mm: float | None = None,
    diameter_um: float | None = None,
    time: Wanted = None,
    force: Wanted = None,
    extension: Wanted = None,
    sheet: str | int | None = None,
) -> Trace:
    """Read a table of one pull.

    Columns are found by title, or given by title or number (from 1), with a unit in brackets where the table has
    none: "Load [gf]", "2 [N]". A strain column counts as extension with the gauge length. Without a gauge length
    the trace has no specimen. Raises TableError.
    """
    if problem := specimen_problem(gauge_length_mm, diameter_um):
        raise TableError(problem)
    specimen = None if gauge_length_mm is None else Specimen(gauge_length_mm, diameter_um=diameter_um)
    grids = load_grids(path, sheet)
    try:
        table = _find_table(grids, {FORCE: force, EXTENSION: extension, TIME: time})
        return _trace(path.name, table, specimen)
    except TableError as error:
        raise TableError(f"{shown(path.name)}: {error}") from error


def preview_table(path: Path, *, sheet: str | int | None = None) -> TablePreview:
    """Show what `read_table` would make of a file. Raises TableError only where it is no table at all."""
    grids = load_grids(path)
    grid = _first_readable(grids) if sheet is None else named_sheet(path.name, grids, sheet)
    layout = find_layout(grid)
    columns = layout.columns if layout else ()
    shown_rows = range(layout.first_row, len(grid.rows))[:PREVIEW_ROWS] if layout else ()
    return TablePreview(
        name=shown(path.name),
        sheet=shown(grid.sheet),
        sheets=tuple(shown(g.sheet) for g in grids),
        columns=tuple(shown(c.title) for c in columns),
        numbers=tuple(c.number for c in columns),
        units=tuple(c.unit.symbol if c.unit else "" for c in columns),
        guesses=ColumnGuesses(*(_guess(grid, layout, quantity) for quantity in (TIME, FORCE, EXTENSION))),
        rows=tuple(_shown_row(grid, i, columns) for i in shown_rows),
        problem=_problem(grid),
    )


def _trace(name: str, table: _Table, specimen: Specimen | None) -> Trace:
    columns = table.columns
    samples = read_rows(table.grid, table.layout.first_row, columns, position=EXTENSION, force=FORCE)
    force, force_notes = force_n(samples, columns[FORCE])
    gauge_length_mm = specimen.gauge_length_mm if specimen else None
    extension, extension_notes = extension_mm(samples, columns[EXTENSION], gauge_length_mm)
    summary = (("summary_row", samples.left_out),) if samples.left_out else ()
    return Trace(
        name=name,
        time_s=time_s(samples, columns[TIME]) if TIME in columns else None,
        force_n=force,
        extension_mm=extension,
        specimen=specimen,
        force_resolution_n=resolution(force),
        extension_resolution_mm=resolution(extension),
        notes=(*summary, *force_notes, *extension_notes, *table.notes),
    )


# Choosing --------------------------------------------------------------------------------------------------


def _find_table(grids: list[Grid], wanted: dict[str, Wanted]) -> _Table:
    """The one sheet that has the columns. Raises the error of the first sheet where none has."""
    found: list[_Table] = []
    failure: TableError | None = None
    for grid in grids:
        try:
            found.append(_choose_all(grid, wanted))
        except TableError as error:
            failure = failure or error
    if len(found) > 1:
        names = ", ".join(f"“{shown(table.grid.sheet)}”" for table in found)
        raise TableError(f"Several sheets have a pull: {names}. Say which sheet.")
    if found:
        return found[0]
    raise failure or TableError("There is no sheet with cells in it: export it again.")


def _choose_all(grid: Grid, wanted: dict[str, Wanted]) -> _Table:
    layout = find_layout(grid)
    if layout is None:
        raise TableError("There are no rows with two numbers or more: export force and extension side by side.")
    titled = [bool(column.title) for column in layout.columns]
    if grid.comma_separates and any(titled) and not all(titled):
        raise TableError(
            "The rows have more columns than titles: where the decimal sign is a comma, separate by “;”."
        )
    columns = {}
    for quantity in (FORCE, EXTENSION):
        column = choose(layout, grid, quantity, wanted[quantity])
        if column is None:
            raise TableError(f"There is no {quantity} column among {layout.named()}: say which it is.")
        columns[quantity] = column
    try:
        time, notes = choose(layout, grid, TIME, wanted[TIME]), ()
    except TableError as error:
        if wanted[TIME] is not None:
            raise
        return _Table(grid, layout, columns, (("time_left_out", f"The time was left out. {error}"),))
    return _Table(grid, layout, columns | ({TIME: time} if time else {}), notes)


def _first_readable(grids: list[Grid]) -> Grid:
    return next((grid for grid in grids if not _problem(grid)), grids[0])


def _problem(grid: Grid) -> str:
    try:
        _choose_all(grid, {FORCE: None, EXTENSION: None, TIME: None})
    except TableError as error:
        return str(error)
    return ""


def _guess(grid: Grid, layout: Layout | None, quantity: str) -> int | None:
    try:
        column = choose(layout, grid, quantity, None) if layout else None
    except TableError:
        return None
    return column.number if column else None


def _shown_row(grid: Grid, i: int, columns: tuple[Column, ...]) -> tuple[str, ...]:
    row = grid.rows[i]
    cells = [row[c.number - 1] if c.number <= len(row) else None for c in columns]
    return tuple(
        "" if cell is None else shown(f"{cell:.10g}" if isinstance(cell, float) else cell) for cell in cells
    )
