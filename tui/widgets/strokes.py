"""From points to dots: a whole curve through its runs, or only what has grown since. Knows no axes or colours.

Within one column of dots only the first, the lowest, the highest and the last value matter (min-max
decimation): everything between them lies on the same upright stroke.
"""

from __future__ import annotations

from tui.widgets.braille import Canvas, Pen
from tui.widgets.picture import Ribbon
from tui.widgets.points import FAN, Points
from tui.widgets.scale import Scale

#: A run at most this wide [dots] is drawn in the column of its middle, even where it touches two columns.
NARROW_DOTS = 0.5

#: A ribbon is filled with every third dot, that of a further curve more thinly: the curve itself stays in sight.
FILL_PERIOD = 3


class Stroke:
    """A line being drawn through points in order; call `finish` at its end."""

    __slots__ = ("_bottom", "_canvas", "_column", "_pen", "_top", "_x", "_y")

    def __init__(self, canvas: Canvas, pen: Pen, x: float, y: float) -> None:
        self._canvas, self._pen = canvas, pen
        self._start(x, y)

    def _start(self, x: float, y: float) -> None:
        self._x, self._y, self._column = x, y, int(x)
        self._top = self._bottom = y

    def to(self, x: float, y: float) -> None:
        """Go on to a point [dots]."""
        if int(x) == self._column:
            self._x, self._y = x, y
            self._top, self._bottom = min(self._top, y), max(self._bottom, y)
            return
        self.finish()
        self._canvas.line(self._x, self._y, x, y, self._pen)
        self._start(x, y)

    def reach(self, top: float, bottom: float) -> None:
        """Say how far up and down the line goes within the column it is in."""
        self._top, self._bottom = min(self._top, top), max(self._bottom, bottom)

    def finish(self) -> None:
        """Draw the column that is still open."""
        tall = float(self._canvas.dots_tall)
        top, bottom = max(self._top, -1.0), min(self._bottom, tall)
        if top < tall and bottom >= 0:
            self._canvas.upright(self._column, int(top), int(bottom), self._pen)


def draw(canvas: Canvas, points: Points, scale: Scale, pen: Pen) -> None:
    """Draw all of a curve, at a cost that depends on the canvas and hardly on the number of points."""
    if not len(points):
        return
    xs, ys, left_x, top_y, per_x, per_y = points.x, points.y, scale.x_low, scale.y_high, scale.per_x, scale.per_y
    stroke = Stroke(canvas, pen, (xs[0] - left_x) * per_x, (top_y - ys[0]) * per_y)
    stack = list(points.roots())[::-1]
    while stack:
        depth, index = stack.pop()
        if depth == 0:
            stroke.to((xs[index] - left_x) * per_x, (top_y - ys[index]) * per_y)
            continue
        level = points.levels[depth - 1]
        left, right = (level.x_low[index] - left_x) * per_x, (level.x_high[index] - left_x) * per_x
        unseen = right < 0 or left >= canvas.dots_wide
        if not unseen and right - left > NARROW_DOTS and int(left) != int(right):
            stack.extend((depth - 1, child) for child in range((index + 1) * FAN - 1, index * FAN - 1, -1))
            continue
        first, last = index * FAN**depth, (index + 1) * FAN**depth - 1
        stroke.to((xs[first] - left_x) * per_x, (top_y - ys[first]) * per_y)
        if not unseen:
            stroke.reach((top_y - level.y_high[index]) * per_y, (top_y - level.y_low[index]) * per_y)
        stroke.to((xs[last] - left_x) * per_x, (top_y - ys[last]) * per_y)
    stroke.finish()


def draw_from(canvas: Canvas, points: Points, scale: Scale, pen: Pen, first: int) -> None:
    """Draw the points from `first` on, joined to the one before."""
    if first >= len(points):
        return
    before = max(first - 1, 0)
    stroke = Stroke(canvas, pen, scale.dot_x(points.x[before]), scale.dot_y(points.y[before]))
    for index in range(first, len(points)):
        stroke.to(scale.dot_x(points.x[index]), scale.dot_y(points.y[index]))
    stroke.finish()


def fill_from(canvas: Canvas, ribbon: Ribbon, scale: Scale, first: int) -> None:
    """Dot the ribbon's surface from its points `first` on, joined to the ones before."""
    low, high, pen = ribbon.low, ribbon.high, Pen(1, FILL_PERIOD + ribbon.line)
    for index in range(max(first, 1), min(len(low), len(high))):
        left, right = scale.dot_x(low.x[index - 1]), scale.dot_x(low.x[index])
        columns = range(max(int(left), 0), min(int(right), canvas.dots_wide - 1) + 1)
        for column in columns:
            share = min(max((column - left) / (right - left), 0.0), 1.0) if right > left else 1.0
            top = scale.dot_y(high.y[index - 1] + share * (high.y[index] - high.y[index - 1]))
            bottom = scale.dot_y(low.y[index - 1] + share * (low.y[index] - low.y[index - 1]))
            if top < canvas.dots_tall and bottom >= 0:
                canvas.upright(column, int(max(top, 0.0)), int(min(bottom, canvas.dots_tall)), pen)
