"""Which part of a picture is looked at and where it is read: zoom, pan and cursor. Knows no keys and no screen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from tui.widgets.picture import Axis, Band, Cursor, Guideline, Line, Picture, Pin, Ribbon
from tui.widgets.points import Points
from tui.widgets.scale import Window

#: How much one step zooms.
ZOOM = 1.5

#: What is shown of an empty plot: to beyond the guideline, and to a usual force of one strand.
EMPTY_WINDOW = Window(0.0, 30.0, 0.0, 0.5)


class PlotView:
    """A picture with a window that follows its curves until somebody zooms."""

    def __init__(self, x_axis: Axis, y_axis: Axis, guideline: Guideline | None = None) -> None:
        self._whole = EMPTY_WINDOW
        self._zoomed: Window | None = None
        self.picture = Picture((Line(Points()),), EMPTY_WINDOW, x_axis, y_axis, guideline)

    def show(self, lines: Sequence[Line], bands: Iterable[Band] = (), *, ribbons: Iterable[Ribbon] = ()) -> None:
        """Other curves, whole and without a cursor; none at all is an empty plot."""
        self._whole, self._zoomed = EMPTY_WINDOW, None
        shown = tuple(lines) or (Line(Points()),)
        self.picture = replace(
            self.picture, lines=shown, bands=tuple(bands), ribbons=tuple(ribbons), pins=(), cursor=None
        )
        self.grown()

    def reach(self, x: float, y: float) -> None:
        """Make the whole so large that it holds a point to come, so that it need not grow on the way."""
        self._whole = self._whole.holding(x, x, y, y)
        self._look()

    def mark(self, pins: Iterable[Pin], bands: Iterable[Band]) -> None:
        """Mark other moments and regions."""
        self.picture = replace(self.picture, pins=tuple(pins), bands=tuple(bands))

    def grown(self) -> None:
        """Points were appended to a curve: make the whole large enough, with the guideline in it."""
        guideline = self.picture.guideline
        if guideline is not None:
            self._whole = self._whole.holding(guideline.x, guideline.x, 0.0, 0.0)
        edges = [edge for ribbon in self.picture.ribbons for edge in (ribbon.low, ribbon.high)]
        for points in [*(line.points for line in self.picture.lines), *edges]:
            if len(points):
                self._whole = self._whole.holding(points.x_low, points.x_high, points.y_low, points.y_high)
        self._look()

    def _look(self) -> None:
        window = self._zoomed.within(self._whole) if self._zoomed else self._whole
        if self.picture.window != window:
            self.picture = replace(self.picture, window=window)

    def zoom(self, steps: int, x: float, y: float) -> None:
        """Zoom in (steps above 0) or out, with the point (x, y) staying where it is."""
        zoomed = self.picture.window.zoomed(ZOOM**steps, x, y).within(self._whole)
        self._zoomed = None if zoomed == self._whole else zoomed
        self._look()

    def pan(self, right: float, up: float) -> None:
        """Move the window by shares of itself, inside the whole."""
        if self._zoomed is not None:
            self._zoomed = self._zoomed.panned(right, up).within(self._whole)
            self._look()

    def reset(self) -> None:
        """The whole again, without a cursor."""
        self._zoomed = None
        self.picture = replace(self.picture, cursor=None)
        self._look()

    def point(self) -> tuple[float, float] | None:
        """The point under the cursor."""
        cursor = self.picture.cursor
        if cursor is None:
            return None
        points = self.picture.lines[cursor.line].points
        return points.x[cursor.point], points.y[cursor.point]

    def focus_point(self) -> tuple[float, float]:
        """What zooming by key goes to: the cursor where it is seen, else the middle of the window."""
        window, point = self.picture.window, self.point()
        if point is not None and window.x_low <= point[0] <= window.x_high:
            return point
        return window.x_low + window.width / 2, window.y_low + window.height / 2

    def read_at(self, x: float, line: int | None = None) -> None:
        """Put the cursor on the point of a curve nearest to `x`, and bring it into the window."""
        if line is None:
            line = self.picture.cursor.line if self.picture.cursor else 0
        points = self.picture.lines[line].points
        point = points.nearest(x)
        if point is None:
            return
        self.picture = replace(self.picture, cursor=Cursor(line, point))
        window, here = self.picture.window, points.x[point]
        over = max(here - window.x_high, 0.0) - max(window.x_low - here, 0.0)
        self.pan(over / window.width, 0.0)

    def move_cursor(self, share: float) -> None:
        """Move the cursor by a share of the window; where there is none yet, it appears in the middle."""
        point = self.point()
        if point is None:
            self.read_at(self.focus_point()[0])
            return
        points = self.picture.lines[self.picture.cursor.line if self.picture.cursor else 0].points
        wanted = point[0] + share * self.picture.window.width
        self.read_at(min(max(wanted, points.x_low), points.x_high))

    def next_line(self, step: int) -> None:
        """Read another curve at the same place."""
        point, cursor = self.point(), self.picture.cursor
        if point is not None and cursor is not None:
            self.read_at(point[0], (cursor.line + step) % len(self.picture.lines))
