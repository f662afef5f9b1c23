"""A grid of dots in text cells: braille cells of 2 × 4 dots, or plain signs of 1 × 2 where there is no braille.

Knows dots and cells; not data, axes or colours.
"""

from __future__ import annotations

from dataclasses import dataclass

#: First sign of the Unicode block "Braille Patterns"; the low byte says which dots are raised.
BRAILLE_BASE = 0x2800

#: Bit of each dot in a braille cell, by row and column (Unicode 15, block U+2800: dots 1-8).
BRAILLE_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))

#: Bit of each dot in a plain cell: upper, lower.
PLAIN_BITS = ((0x01,), (0x02,))


@dataclass(frozen=True, slots=True)
class Grid:
    """How many dots a cell holds and which bit each has."""

    wide: int
    tall: int
    bits: tuple[tuple[int, ...], ...]


BRAILLE_GRID = Grid(2, 4, BRAILLE_BITS)
PLAIN_GRID = Grid(1, 2, PLAIN_BITS)


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is stroked: of every `period` dots along it `on` are drawn; `thick` dots high.

    The count runs along x plus down y, so that steep and level parts are both interrupted.
    """

    on: int = 1
    period: int = 1
    thick: int = 1


def _spans(grid: Grid) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """The dots of a cell's column from one inner row down to another, as [across][top][bottom]."""
    return tuple(
        tuple(
            tuple(sum(grid.bits[inner][across] for inner in range(top, bottom + 1)) for bottom in range(grid.tall))
            for top in range(grid.tall)
        )
        for across in range(grid.wide)
    )


class Canvas:
    """Cells that collect dots; `touched` are the rows changed since whoever draws them last emptied it."""

    __slots__ = ("_spans", "cells", "columns", "dots_tall", "dots_wide", "grid", "rows", "touched")

    def __init__(self, columns: int, rows: int, grid: Grid = BRAILLE_GRID) -> None:
        self.columns, self.rows, self.grid = columns, rows, grid
        self.dots_wide, self.dots_tall = columns * grid.wide, rows * grid.tall
        self.cells = [bytearray(columns) for _ in range(rows)]
        self.touched: set[int] = set()
        self._spans = _spans(grid)

    def upright(self, x: int, top: int, bottom: int, pen: Pen) -> None:
        """Raise the dots of one column from `top` down to `bottom`, both included, cut to the canvas."""
        top, bottom = max(top - pen.thick + 1, 0), min(bottom, self.dots_tall - 1)
        if top > bottom or not 0 <= x < self.dots_wide:
            return
        if pen.period == 1:
            self._fill(x, top, bottom)
            return
        for y in range(top, bottom + 1):
            if (x - y) % pen.period < pen.on:
                self._fill(x, y, y)

    def _fill(self, x: int, top: int, bottom: int) -> None:
        """Raise dots that are known to be on the canvas, a cell at a time."""
        tall = self.grid.tall
        column, across = divmod(x, self.grid.wide)
        spans = self._spans[across]
        for row in range(top // tall, bottom // tall + 1):
            first = row * tall
            self.cells[row][column] |= spans[max(top - first, 0)][min(bottom - first, tall - 1)]
            self.touched.add(row)

    def line(self, x0: float, y0: float, x1: float, y1: float, pen: Pen) -> None:
        """Raise the dots of a straight line, column by column, cut to the canvas."""
        cut = clipped(x0, y0, x1, y1, self.dots_wide, self.dots_tall)
        if cut is None:
            return
        x0, y0, x1, y1 = cut
        if x0 > x1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        column, last, row = int(x0), int(x1), int(y0)
        slope = (y1 - y0) / (x1 - x0) if last > column else 0.0
        for here in range(column, last):
            after = int(y0 + slope * (here + 1 - x0))
            # The row at which the next column begins is that column's to draw: lines stay one dot thin.
            self.upright(here, min(row, after + 1), max(row, after - 1), pen)
            row = after
        self.upright(last, min(row, int(y1)), max(row, int(y1)), pen)


def clipped(
    x0: float, y0: float, x1: float, y1: float, wide: float, tall: float
) -> tuple[float, float, float, float] | None:
    """The part of a line in the rectangle from (0, 0) to just inside (wide, tall), or None.

    Method of Liang and Barsky: the line's parameter is narrowed by one edge after the other. The last dot
    row and column own their outer edge.
    """
    if 0 <= x0 < wide and 0 <= x1 < wide and 0 <= y0 < tall and 0 <= y1 < tall:
        return x0, y0, x1, y1
    dx, dy = x1 - x0, y1 - y0
    start, end = 0.0, 1.0
    for run, room in ((-dx, x0), (dx, wide - x0), (-dy, y0), (dy, tall - y0)):
        if run == 0:
            if room < 0:
                return None
        elif run < 0:
            start = max(start, room / run)
        else:
            end = min(end, room / run)
    if start > end:
        return None
    last_x, last_y = wide - 0.5, tall - 0.5
    return (
        min(max(x0 + start * dx, 0.0), last_x),
        min(max(y0 + start * dy, 0.0), last_y),
        min(max(x0 + end * dx, 0.0), last_x),
        min(max(y0 + end * dy, 0.0), last_y),
    )
