"""Where the parts of a plot lie in text cells: caption, legend, labels, axes and the field of the curve.

Labels and legend have places of their own outside the field, so that they never cover data.
"""

from __future__ import annotations

from dataclasses import dataclass

from tui.widgets.picture import Picture
from tui.widgets.ticks import round_step, tick_text, ticks

#: A plot smaller than this cannot be read.
LEAST_WIDTH, LEAST_HEIGHT = 24, 7

#: From this width on, several curves are named at their ends, at the right of the field; below, in a row above it.
NAMES_BESIDE_WIDTH = 72

#: Widest name beside the field.
LONGEST_NAME = 20

#: How far outside the window a value may lie and still count as on its edge, as a share of the window.
EDGE = 1e-9

#: A tick label and the room around it along x, and rows from one tick to the next along y.
CELLS_PER_X_TICK, ROWS_PER_Y_TICK = 10, 3


@dataclass(frozen=True, slots=True)
class Frame:
    """Cells of each part; rows from the top, columns from the left."""

    width: int
    height: int
    legend_rows: int
    left: int
    right: int
    top: int
    columns: int
    rows: int
    x_ticks: tuple[float, ...]
    y_ticks: tuple[float, ...]
    x_step: float
    y_step: float

    @property
    def axis_row(self) -> int:
        """The row of the x axis; its labels are the row below, region names the one after that."""
        return self.top + self.rows


def frame_of(picture: Picture, width: int, height: int) -> Frame | None:
    """Divide `width` × `height` cells; None where that is too small."""
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        return None
    names = [line.name for line in picture.lines] if len(picture.lines) > 1 else []
    beside = bool(names) and width >= NAMES_BESIDE_WIDTH
    legend_rows = 1 if names and not beside else 0
    top = legend_rows + 1
    rows = height - top - 2 - (1 if picture.bands else 0)
    window = picture.window
    y_most = max(1, rows // ROWS_PER_Y_TICK)
    y_ticks = ticks(window.y_low, window.y_high, y_most)
    y_step = round_step(window.height, y_most)
    left = max((len(tick_text(value, y_step)) for value in y_ticks), default=1) + 2
    right = min(max(len(name) for name in names), LONGEST_NAME) + 5 if beside else 1
    columns = width - left - right
    x_most = max(1, columns // CELLS_PER_X_TICK)
    return Frame(
        width, height, legend_rows, left, right, top, columns, rows,
        ticks(window.x_low, window.x_high, x_most), y_ticks, round_step(window.width, x_most), y_step,
    )  # fmt: skip


def column_of(frame: Frame, picture: Picture, x: float) -> int | None:
    """The column of the field that `x` falls in; None outside the window. The right edge is in the last one."""
    share = (x - picture.window.x_low) / picture.window.width
    return _cell(share, frame.columns)


def row_of(frame: Frame, picture: Picture, y: float) -> int | None:
    """The row of the field that `y` falls in, from its top; None outside the window."""
    share = (picture.window.y_high - y) / picture.window.height
    return _cell(share, frame.rows)


def _cell(share: float, cells: int) -> int | None:
    """Which of `cells` a share of the window falls in."""
    return min(max(int((share + EDGE) * cells), 0), cells - 1) if -EDGE <= share <= 1 + EDGE else None
