"""Where a pin's sign and its word stand: the sign at its place, the word where no curve is.

Knows cells of a plot's field; nothing of what is pinned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tui.widgets.cells import Cells
from tui.widgets.picture import Picture, Pin
from tui.widgets.plot_frame import Frame, column_of, row_of
from tui.widgets.signs import Signs

#: Says whether the cells of a row of the field, from a column up to another, are free of curves.
Blank = Callable[[int, int, int], bool]

#: Rows that a word may stand off its sign, the nearest first; below 0 is above it.
ROWS_OFF = (0, -1, 1, -2, 2)


@dataclass(frozen=True, slots=True)
class Stuck:
    """A sign or a word in the field: row, column, text."""

    row: int
    column: int
    text: str


def signs_of(picture: Picture, frame: Frame, signs: Signs) -> list[Stuck]:
    """The pins' signs, as far as they are in the window."""
    return [Stuck(row, column, signs.pin) for _, row, column in _places(picture, frame)]


def words_of(picture: Picture, frame: Frame, blank: Blank) -> list[Stuck]:
    """The pins' words, each at the nearest place where there is room; one without room is left out."""
    found: list[Stuck] = []
    for pin, row, column in _places(picture, frame):
        for at_row, start in _candidates(pin, row, column, frame):
            end = start + len(pin.label)
            covered = any(
                one.row == at_row and one.column < end + 1 and start < one.column + len(one.text) + 1
                for one in found
            )
            if not covered and blank(at_row, start, end):
                found.append(Stuck(at_row, start, pin.label))
                break
    return found


def _places(picture: Picture, frame: Frame) -> Iterator[tuple[Pin, int, int]]:
    for pin in picture.pins:
        row, column = row_of(frame, picture, pin.y), column_of(frame, picture, pin.x)
        if row is not None and column is not None:
            yield pin, row, column


def _candidates(pin: Pin, row: int, column: int, frame: Frame) -> Iterator[tuple[int, int]]:
    """Row and first column of each place for the word, the best first: beside the sign, then above and below."""
    length = len(pin.label)
    for off in ROWS_OFF:
        starts = (
            (column + 2, column - 1 - length) if off == 0 else (column + 1, column - length // 2, column - length)
        )
        for start in starts:
            if 0 <= row + off < frame.rows and start >= 0 and start + length <= frame.columns:
                yield row + off, start


def stick(cells: Cells, row: int, stuck: list[Stuck], left: int) -> None:
    """Put what stands in a row into its cells."""
    for one in stuck:
        if one.row == row:
            cells.put(left + one.column, one.text, "pin")
