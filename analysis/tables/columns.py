"""Where the columns of a table are and what they hold: titles, the units row, and the choice of a column.

Owns the layout of a grid. Converts nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from analysis.tables.files import Cell, Grid, TableError
from analysis.tables.units import Unit, find_unit, known_units, split_title
from analysis.tables.words import EXTENSION, FORCE, TIME, rank
from recordings.text import shown

QUANTITIES = (FORCE, EXTENSION, TIME)
#: The titles stand within so many rows above the first row of numbers: a units row and blank rows come between.
TITLE_DISTANCE = 4
#: Fewest numbers in a row of samples: a force and a position.
FEWEST_NUMBERS = 2
#: What each quantity is measured in, for messages.
DIMENSIONS = {FORCE: ("force",), EXTENSION: ("length", "ratio"), TIME: ("time",)}
EXAMPLES = {FORCE: "N", EXTENSION: "mm", TIME: "s"}


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its number from 1, its title as it stands, the title's name part, and its unit as far as known."""

    number: int
    title: str
    name: str
    unit: Unit | None
    unit_text: str


@dataclass(frozen=True, slots=True)
class Layout:
    """The columns of a grid that hold any numbers, and where its rows of numbers begin (index from 0)."""

    columns: tuple[Column, ...]
    first_row: int

    def named(self) -> str:
        """The titles, for messages."""
        return ", ".join(map(quoted, self.columns))


def quoted(column: Column) -> str:
    """A column for a message."""
    return f"“{shown(column.title)}” (column {column.number})" if column.title else f"column {column.number}"


def find_layout(grid: Grid) -> Layout | None:
    """Find titles and numbers; None where no row has two numbers.

    Every row of texts with numbers closely below could be the titles. Taken is the one whose columns can be told,
    and of several such the one with the most rows of numbers below it (a table of parameters may stand above).
    """
    counts = [sum(isinstance(cell, float) for cell in row) for row in grid.rows]
    starts = [
        (title, start)
        for title, row in enumerate(grid.rows)
        if _could_be_titles(row, counts[title]) and (start := _numbers_below(counts, title)) is not None
    ]
    layouts = [_layout(grid, title, start) for title, start in starts]
    if layouts:
        return max(layouts, key=lambda layout: _merit(layout, _block(counts, layout.first_row)))
    start = next((i for i, count in enumerate(counts) if count >= FEWEST_NUMBERS), None)
    return None if start is None else _layout(grid, None, start)


def choose(layout: Layout, grid: Grid, quantity: str, wanted: str | int | None) -> Column | None:
    """The column of a quantity: the one wanted by title or number, else the best by its title and unit.

    A wanted title may carry a unit in brackets, which then holds instead of the table's own. None where nothing was
    wanted and nothing fits. Raises TableError where nothing or several columns fit what was wanted.
    """
    if wanted is not None:
        return _with_unit(_wanted(layout, grid, quantity, wanted), quantity)
    places = [(rank(column.name, column.unit, quantity), column) for column in layout.columns]
    ranks = [(place, column) for place, column in places if place is not None]
    if not ranks:
        return None
    best = min(place for place, _ in ranks)
    return _with_unit(_only([c for place, c in ranks if place == best], layout, grid, quantity), quantity)


def _could_be_titles(row: list[Cell], numbers: int) -> bool:
    texts = sum(isinstance(cell, str) for cell in row)
    return texts >= FEWEST_NUMBERS and texts > numbers


def _numbers_below(counts: list[int], title: int) -> int | None:
    """The first row with a number below the titles, where one with enough of them is near: it may be a bad one."""
    below = range(title + 1, min(title + 1 + TITLE_DISTANCE, len(counts)))
    if all(counts[i] < FEWEST_NUMBERS for i in below):
        return None
    return next(i for i in below if counts[i])


def _block(counts: list[int], start: int) -> int:
    """How many rows of numbers follow one another."""
    stop = next((i for i in range(start, len(counts)) if counts[i] < FEWEST_NUMBERS), len(counts))
    return stop - start


def _merit(layout: Layout, block: int) -> tuple[int, int, int, int]:
    """Can its columns be told, how many rows has it, how many of its columns have a title, how many quantities."""
    found = sum(any(rank(c.name, c.unit, q) is not None for c in layout.columns) for q in QUANTITIES)
    return min(found, 2), block, sum(bool(c.title) for c in layout.columns), found


def _layout(grid: Grid, title: int | None, start: int) -> Layout:
    """The columns under a row of titles, with the units of a units row where the titles have none."""
    titles = [] if title is None else grid.rows[title]
    between = [] if title is None else grid.rows[title + 1 : start]
    units = next(filter(_is_units_row, between), [])
    width = max(map(len, grid.rows[start:]))
    filled = {i for row in grid.rows[start:] for i, cell in enumerate(row) if isinstance(cell, float)}
    columns = [_column(i, _text(titles, i), _text(units, i)) for i in range(width) if i in filled]
    return Layout(tuple(columns), start)


def _is_units_row(row: list[Cell]) -> bool:
    texts = [_bare(_text(row, i)) for i in range(len(row))]
    return any(find_unit(text) for text in texts if text) and not any(" " in text for text in texts)


def _text(row: list[Cell], i: int) -> str:
    cell = row[i] if i < len(row) else None
    return "" if cell is None else f"{cell:g}" if isinstance(cell, float) else " ".join(cell.split())


def _bare(text: str) -> str:
    return text.strip("[]() ")


def _column(i: int, title: str, units_cell: str) -> Column:
    # A "#" before the first title marks it as a comment for some program.
    title = title.lstrip("# ") if i == 0 else title
    name, unit_text = split_title(title)
    if not find_unit(unit_text) and units_cell:
        unit_text = _bare(units_cell)
    return Column(i + 1, title, name, find_unit(unit_text) if unit_text else None, unit_text)


def _wanted(layout: Layout, grid: Grid, quantity: str, wanted: str | int) -> Column:
    text = " ".join(str(wanted).split())
    name, unit_text = split_title(text)
    hits = _matching(layout, text)
    if not hits:
        hits = [
            replace(column, unit=find_unit(unit_text), unit_text=unit_text) for column in _matching(layout, name)
        ]
    if not hits:
        raise TableError(f"There is no column “{shown(text)}” for the {quantity}; there are {layout.named()}.")
    return _only(hits, layout, grid, quantity)


def _matching(layout: Layout, text: str) -> list[Column]:
    """Columns by title, else by the name in the title, else by number."""
    folded = text.casefold()
    if not folded:
        return []
    return (
        [c for c in layout.columns if c.title.casefold() == folded]
        or [c for c in layout.columns if c.name.casefold() == folded]
        or [c for c in layout.columns if str(c.number) == text]
    )


def _only(columns: list[Column], layout: Layout, grid: Grid, quantity: str) -> Column:
    """The one column, or the first of several that say the same in every row."""
    first, *others = columns
    wanted = _values(grid, layout, first)
    if all(c.unit == first.unit and _values(grid, layout, c) == wanted for c in others):
        return first
    names = ", ".join(map(quoted, columns))
    raise TableError(f"Several columns could be the {quantity}: {names}. Say which, by its number.")


def _values(grid: Grid, layout: Layout, column: Column) -> list[Cell]:
    i = column.number - 1
    return [row[i] if i < len(row) else None for row in grid.rows[layout.first_row :]]


def _with_unit(column: Column, quantity: str) -> Column:
    """The column, if its unit is one of the quantity. Raises TableError that says how to give one."""
    if column.unit is not None and column.unit.dimension in DIMENSIONS[quantity]:
        return column
    hint = f"give the column with its unit, as in “{shown(column.name) or column.number} [{EXAMPLES[quantity]}]”"
    if not column.unit_text:
        raise TableError(f"The {quantity} in {quoted(column)} does not say its unit: {hint}.")
    units = "; ".join(known_units(dimension) for dimension in DIMENSIONS[quantity])
    raise TableError(
        f"“{shown(column.unit_text)}” is not a unit of {quantity} that can be converted ({units}): {hint}."
    )
