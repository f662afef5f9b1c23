"""A plot as rows of text: kept up to date as curves grow, so that little is drawn anew. Knows no screen.

`render_rows` is the whole plot as plain text, which is how it is tested.
"""

from __future__ import annotations

from tui.widgets import plot_text
from tui.widgets.braille import Canvas
from tui.widgets.cells import Cells, Span, text_of
from tui.widgets.picture import Picture
from tui.widgets.pins import Stuck, signs_of, stick, words_of
from tui.widgets.plot_field import Ground, cursor_point, lay_curves
from tui.widgets.plot_frame import Frame, column_of, frame_of, row_of
from tui.widgets.scale import Scale
from tui.widgets.signs import BRAILLE, Signs
from tui.widgets.strokes import draw, draw_from, fill_from

#: Shown instead of a plot that has no room.
NO_ROOM = "The curve needs a larger window."


class Drawing:
    """One plot at one size. Call `update` with what it is to show, then `row` for each row."""

    def __init__(self, signs: Signs = BRAILLE) -> None:
        self.signs = signs
        self.picture: Picture | None = None
        self.frame: Frame | None = None
        self._size = (0, 0)
        self._canvases: list[Canvas] = []
        self._drawn: list[int] = []
        self._filled: list[int] = []
        self._signs: list[Stuck] = []
        self._words: list[Stuck] = []
        self._ground: Ground | None = None

    def update(self, picture: Picture, width: int, height: int) -> set[int] | None:
        """Take in a picture; the rows that have changed, or None for all of them."""
        if picture == self.picture and (width, height) == self._size:
            return self._grow()
        self.picture, self._size = picture, (width, height)
        self.frame = frame_of(picture, width, height)
        if self.frame is None:
            return None
        self._ground = Ground(picture, self.frame, self.signs)
        self._canvases = [Canvas(self.frame.columns, self.frame.rows, self.signs.grid) for _ in picture.lines]
        self._drawn = [len(line.points) for line in picture.lines]
        for number, line in enumerate(picture.lines):
            draw(self._canvases[number], line.points, self._scale(), self.signs.pen(number))
        self._filled = [0] * len(picture.ribbons)
        self._fill(picture)
        self._signs = signs_of(picture, self.frame, self.signs)
        self._words = words_of(picture, self.frame, self._is_blank)
        return None

    def _is_blank(self, row: int, start: int, end: int) -> bool:
        """Whether cells of the field have no curve in them."""
        return not any(any(canvas.cells[row][start:end]) for canvas in self._canvases)

    def _fill(self, picture: Picture) -> None:
        """Draw what the ribbons have gained."""
        for number, ribbon in enumerate(picture.ribbons):
            fill_from(self._canvases[ribbon.line], ribbon, self._scale(), self._filled[number])
            self._filled[number] = min(len(ribbon.low), len(ribbon.high))

    def _scale(self) -> Scale:
        assert self.frame is not None
        assert self.picture is not None
        grid = self.signs.grid
        return Scale(self.picture.window, self.frame.columns * grid.wide, self.frame.rows * grid.tall)

    def _grow(self) -> set[int]:
        """Draw what the curves have gained; the rows of the plot that have changed."""
        if self.frame is None or self.picture is None:
            return set()
        changed: set[int] = set()
        for number, line in enumerate(self.picture.lines):
            canvas = self._canvases[number]
            canvas.touched.clear()
            draw_from(canvas, line.points, self._scale(), self.signs.pen(number), self._drawn[number])
            self._drawn[number] = len(line.points)
        self._fill(self.picture)
        for canvas in self._canvases:
            changed |= {self.frame.top + row for row in canvas.touched}
        return changed

    def row(self, y: int) -> tuple[Span, ...]:
        """One row of the plot, from the top."""
        if self.picture is None or self.frame is None:
            return _sentence(self._size, y)
        return self._cells(y, self.picture, self.frame).spans()

    def _cells(self, y: int, picture: Picture, frame: Frame) -> Cells:
        """What stands in a row: the legend where there is one, the caption, the field, and what is below it."""
        if 0 <= y - frame.top < frame.rows:
            return self._field_row(y - frame.top, picture, frame)
        match y - frame.axis_row:
            case 0:
                return plot_text.x_axis(frame, picture, self.signs)
            case 1:
                return plot_text.x_labels(frame, picture)
            case 2:
                return plot_text.band_names(frame, picture, self.signs)
        if y == frame.top - 1:
            return plot_text.caption(picture, frame, self.signs)
        return plot_text.legend(picture, frame, self.signs)

    def _field_row(self, row: int, picture: Picture, frame: Frame) -> Cells:
        assert self._ground is not None
        cells = self._ground.row(row)
        stick(cells, row, self._words, frame.left)
        lay_curves(cells, [canvas.cells[row] for canvas in self._canvases], frame.left, self._ground, self.signs)
        stick(cells, row, self._signs, frame.left)
        point = cursor_point(picture)
        if point is not None and row_of(frame, picture, point[1]) == row:
            column = column_of(frame, picture, point[0])
            if column is not None:
                cells.roles[frame.left + column] = "point"
        return cells


def _sentence(size: tuple[int, int], y: int) -> tuple[Span, ...]:
    """The row of a plot without room: a sentence in the middle, as far as it fits."""
    width, height = size
    text = NO_ROOM[:width].center(width) if y == height // 2 else " " * width
    return (Span(text, "label"),)


def render_rows(picture: Picture, width: int, height: int, signs: Signs = BRAILLE) -> list[str]:
    """The whole plot as plain text, one string a row."""
    drawing = Drawing(signs)
    drawing.update(picture, width, height)
    return [text_of(drawing.row(y)) for y in range(height)]
