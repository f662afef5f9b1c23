"""The field of a plot: what lies under the curves, the curves' cells over it, and their names at the right."""

from __future__ import annotations

from collections.abc import Sequence

from tui.widgets.cells import Cells
from tui.widgets.picture import Picture
from tui.widgets.plot_frame import LONGEST_NAME, Frame, column_of, row_of
from tui.widgets.signs import Signs
from tui.widgets.ticks import tick_text

#: Looks that differ for lines before they repeat.
LINE_ROLES = 4


class Ground:
    """Everything in the field's rows but the curves; one per frame and picture."""

    def __init__(self, picture: Picture, frame: Frame, signs: Signs) -> None:
        self._picture, self._frame, self._signs = picture, frame, signs
        self._y_labels = {row_of(frame, picture, y): tick_text(y, frame.y_step) for y in frame.y_ticks}
        self._uprights = _uprights(picture, frame, signs)
        self._crossings = [c for x in frame.x_ticks if (c := column_of(frame, picture, x)) is not None]
        self._names = _names_at_rows(picture, frame)
        self.column_roles = _column_roles(picture, frame)

    def row(self, row: int) -> Cells:
        """One row without curves."""
        frame, signs = self._frame, self._signs
        cells = Cells(frame.width)
        label = self._y_labels.get(row)
        if label is not None:
            cells.put(frame.left - 2 - len(label), label, "label")
            for column in self._crossings:
                cells.put(frame.left + column, signs.crossing, "grid")
        cells.put(frame.left - 1, signs.upright if label is None else signs.tick_left, "axis")
        for column, sign, role in self._uprights:
            cells.put(frame.left + column, sign, role)
        for number in self._names.get(row, ()):
            start = frame.left + frame.columns + 1
            cells.put(start, signs.sample(number), f"line{number % LINE_ROLES}")
            cells.put(start + 4, self._picture.lines[number].name[:LONGEST_NAME], "label")
        return cells


def _uprights(picture: Picture, frame: Frame, signs: Signs) -> list[tuple[int, str, str]]:
    """Upright lines under the curves: column, sign, role; later ones lie over earlier ones."""
    found = [(band.start, signs.boundary, "boundary") for band in picture.bands[1:]]
    if picture.guideline is not None:
        found.append((picture.guideline.x, signs.guide, "guide"))
    point = cursor_point(picture)
    if point is not None:
        found.append((point[0], signs.cursor, "cursor"))
    columns = [(column_of(frame, picture, x), sign, role) for x, sign, role in found]
    return [(column, sign, role) for column, sign, role in columns if column is not None]


def cursor_point(picture: Picture) -> tuple[float, float] | None:
    """The point under the cursor, where there is one."""
    cursor = picture.cursor
    if cursor is None or not cursor.line < len(picture.lines):
        return None
    points = picture.lines[cursor.line].points
    return (points.x[cursor.point], points.y[cursor.point]) if cursor.point < len(points) else None


def _column_roles(picture: Picture, frame: Frame) -> Sequence[str] | None:
    """For a single curve with regions: the role of its cells by column, or None."""
    if len(picture.lines) != 1 or not picture.bands:
        return None
    roles = ["line0"] * frame.columns
    for number, band in enumerate(picture.bands):
        for column in range(frame.columns):
            x = picture.window.x_low + (column + 0.5) / frame.columns * picture.window.width
            if band.start <= x <= band.end:
                roles[column] = f"band{number % 3}"
    return roles


def _names_at_rows(picture: Picture, frame: Frame) -> dict[int, list[int]]:
    """Which curve's name stands in which row: that of the curve's end, or the nearest that is free."""
    if len(picture.lines) < 2 or frame.right < 6:
        return {}
    taken: dict[int, list[int]] = {}
    for number, line in enumerate(picture.lines):
        end = line.points.y[-1] if len(line.points) else picture.window.y_low
        inside = min(max(end, picture.window.y_low), picture.window.y_high)
        wanted = row_of(frame, picture, inside) or 0
        free = [row for row in range(frame.rows) if row not in taken]
        if free:
            taken[min(free, key=lambda row: abs(row - wanted))] = [number]
    return taken


def lay_curves(cells: Cells, rows: Sequence[bytearray], left: int, ground: Ground, signs: Signs) -> None:
    """Put one row of each curve over what is there; where curves share a cell it shows the dots of all."""
    drawn: dict[int, int] = {}
    for number, row in enumerate(rows):
        role = f"line{number % LINE_ROLES}"
        for column, bits in enumerate(row):
            if bits:
                drawn[column] = drawn.get(column, 0) | bits
                cells.signs[left + column] = signs.cell(number, drawn[column])
                cells.roles[left + column] = ground.column_roles[column] if ground.column_roles else role
