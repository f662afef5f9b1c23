"""The rows of a table as columns of numbers: every cell a number, or an error that names it; summary rows left out.

Owns what is a sample and what is a summary row. Knows no units.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.tables.columns import Column, quoted
from analysis.tables.files import Cell, Grid, TableError
from analysis.trace import FloatArray
from recordings.text import shown

#: A summary has a few rows (mean, scatter, largest …); more than so many are something else.
MOST_SUMMARY_ROWS = 6
#: Fewest rows above a summary row from which the usual step can be told.
FEWEST_ROWS = 5
#: A position that jumps by more than so many of the largest steps before it, and by more than this share of the
#: whole way, is no motion of the stage.
JUMP_STEPS, JUMP_SHARE = 5.0, 0.1
#: A force that was below this share of its maximum a row ago does not reach exactly the maximum by pulling.
REPEATED_SHARE = 0.9


@dataclass(frozen=True, slots=True)
class Samples:
    """Columns of equal length, by quantity, and a sentence about the rows that were left out, if any."""

    values: dict[str, FloatArray]
    left_out: str


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of a table: its number in the file, and the chosen cells as they stand and as numbers."""

    place: int
    cells: tuple[Cell, ...]
    numbers: tuple[float | None, ...]


def read_rows(grid: Grid, first_row: int, columns: dict[str, Column], position: str, force: str) -> Samples:
    """Read the chosen columns; `position` and `force` name those by which a summary row is known.

    Rows without anything in these columns are passed over. Raises TableError for any other cell that is not a
    number, and for a table without rows.
    """
    chosen = list(columns.values())
    rows = [row for i in range(first_row, len(grid.rows)) if (row := _row(grid, i, chosen)) is not None]
    if not any(None not in row.numbers for row in rows):
        raise TableError(
            f"There are no rows of numbers in {', '.join(map(quoted, chosen))}: export the table again."
        )
    order = list(columns)
    left_out = _drop_summary(rows, order.index(position), order.index(force))
    for row in rows:
        if None in row.numbers:
            raise _not_a_number(row, chosen)
    values = np.array([row.numbers for row in rows], dtype=np.float64).T
    return Samples(dict(zip(order, values, strict=True)), left_out)


def _row(grid: Grid, i: int, columns: list[Column]) -> _Row | None:
    row = grid.rows[i]
    cells = tuple(row[c.number - 1] if c.number <= len(row) else None for c in columns)
    if all(cell is None for cell in cells):
        return None
    return _Row(i + 1, cells, tuple(cell if isinstance(cell, float) else None for cell in cells))


def _drop_summary(rows: list[_Row], position: int, force: int) -> str:
    """Take summary rows off the end of `rows`; the sentence about them."""
    dropped: list[_Row] = []
    reason = ""
    while len(dropped) < MOST_SUMMARY_ROWS and (why := _summary_reason(rows, position, force)):
        reason = why
        dropped.append(rows.pop())
    if not dropped:
        return ""
    places = ", ".join(str(row.place) for row in reversed(dropped))
    what, verb = ("row", "is a summary") if len(dropped) == 1 else ("rows", "are summaries")
    return f"The last {what} ({places}) {verb} and no sample, and was left out: {reason}."


def _summary_reason(rows: list[_Row], position: int, force: int) -> str:
    """Why the last row is no sample, or nothing."""
    *before, last = rows
    if len(before) < FEWEST_ROWS:
        return ""
    if None in last.numbers:
        return "it is not all numbers"
    x = np.array([row.numbers[position] for row in before], dtype=np.float64)
    f = np.array([row.numbers[force] for row in before], dtype=np.float64)
    # The rows just before may be summaries themselves.
    certain = x[: max(FEWEST_ROWS, len(x) - MOST_SUMMARY_ROWS)]
    jump = max(JUMP_STEPS * float(np.nanmax(np.abs(np.diff(certain)))), JUMP_SHARE * float(np.ptp(certain)))
    step = float(last.numbers[position] or 0.0) - x[-1]
    if step < -jump:
        return "its position jumps back"
    moved_on = 0 < step <= jump
    if not moved_on and last.numbers[force] == np.nanmax(f) and f[-1] < REPEATED_SHARE * np.nanmax(f):
        return "it repeats the largest force"
    return ""


def _not_a_number(row: _Row, columns: list[Column]) -> TableError:
    cell, column = next((c, k) for c, n, k in zip(row.cells, row.numbers, columns, strict=True) if n is None)
    what = f"“{shown(cell)}” is not a number" if cell is not None else "there is no number"
    return TableError(
        f"In row {row.place}, {quoted(column)}, {what}: correct or remove the row, "
        "and keep only one pull in a table."
    )
