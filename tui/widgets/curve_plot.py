"""The curve on the screen: a widget that draws a picture line by line, follows it as it grows, and can be read.

Owns keys, mouse and looks. What is looked at is in `plot_view`, what is drawn where in `drawing`. Knows
nothing of rigs or results.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region
from textual.strip import Strip

from tui.widgets.cells import Span
from tui.widgets.drawing import Drawing
from tui.widgets.painted import Painted
from tui.widgets.picture import Axis, Band, Guideline, Line, Picture, Pin, Ribbon
from tui.widgets.plot_view import PlotView
from tui.widgets.scale import Scale
from tui.widgets.signs import BRAILLE, Signs

#: How far the window moves at one key press, as a share of it.
PAN = 0.2


class CurvePlot(Painted, can_focus=True):
    """A plot of one or several curves with axes, a guideline, regions and a cursor."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "cursor(-1)", "Read values", key_display="← →"),
        Binding("right", "cursor(1)", "Read values", show=False),
        Binding("shift+left", "cursor(-10)", "Read further on", show=False),
        Binding("shift+right", "cursor(10)", "Read further on", show=False),
        Binding("up", "next_line(-1)", "Other curve", show=False),
        Binding("down", "next_line(1)", "Other curve", show=False),
        Binding("plus,equals_sign", "zoom(1)", "Zoom", key_display="+ −"),
        Binding("minus", "zoom(-1)", "Zoom out", show=False),
        Binding("left_square_bracket", "pan(-1, 0)", "Move the window", show=False),
        Binding("right_square_bracket", "pan(1, 0)", "Move the window", show=False),
        Binding("left_curly_bracket", "pan(0, -1)", "Move the window down", show=False),
        Binding("right_curly_bracket", "pan(0, 1)", "Move the window up", show=False),
        Binding("0", "whole", "Whole curve"),
    ]

    def __init__(
        self,
        x_axis: Axis,
        y_axis: Axis,
        guideline: Guideline | None = None,
        *,
        signs: Signs = BRAILLE,
        id: str | None = None,
    ) -> None:
        super().__init__(id=id)
        self._view = PlotView(x_axis, y_axis, guideline)
        self._drawing = Drawing(signs)
        self._dragged_from: tuple[int, int] | None = None

    @property
    def picture(self) -> Picture:
        """What is shown now."""
        return self._view.picture

    def show(
        self,
        lines: Sequence[Line],
        bands: Iterable[Band] = (),
        *,
        ribbons: Iterable[Ribbon] = (),
        reach: tuple[float, float] | None = None,
    ) -> None:
        """Show these curves instead, whole; an empty sequence shows an empty plot.

        With `reach`, a point to come, the plot is large enough for it from the start.
        """
        self._view.show(lines, bands, ribbons=ribbons)
        if reach is not None:
            self._view.reach(*reach)
        self._draw()

    def mark(self, pins: Iterable[Pin], bands: Iterable[Band] = ()) -> None:
        """Mark these moments and regions instead."""
        self._view.mark(pins, bands)
        self._draw()

    def extend(self, xs: Iterable[float], ys: Iterable[float], line: int = 0) -> None:
        """Append points to a curve; only the rows that have changed are drawn."""
        self.picture.lines[line].points.extend(xs, ys)
        self._view.grown()
        self._draw()

    def _draw(self) -> None:
        """Bring the drawing up to date and have the changed rows put on the screen."""
        width, height = self.size
        if not width or not height:
            return
        rows = self._drawing.update(self.picture, width, height)
        if rows is None:
            self.refresh()
        elif rows:
            self.refresh(*(Region(0, row, width, 1) for row in rows))

    def row(self, y: int) -> Sequence[Span]:
        """One row of the plot."""
        return self._drawing.row(y)

    def render_line(self, y: int) -> Strip:
        """One row for the screen, of a drawing that fits the widget's size."""
        self._drawing.update(self.picture, *self.size)
        return super().render_line(y)

    def action_cursor(self, cells: int) -> None:
        """Move the cursor by some cells; the first press puts it in the middle."""
        frame = self._drawing.frame
        if frame is not None:
            self._view.move_cursor(cells / frame.columns)
            self._draw()

    def action_next_line(self, step: int) -> None:
        """Read another curve at the same place."""
        self._view.next_line(step)
        self._draw()

    def action_zoom(self, steps: int) -> None:
        """Zoom about the cursor, or the middle."""
        self._view.zoom(steps, *self._view.focus_point())
        self._draw()

    def action_pan(self, right: int, up: int) -> None:
        """Move the window by a part of it."""
        self._view.pan(right * PAN, up * PAN)
        self._draw()

    def action_whole(self) -> None:
        """Show the whole again, without a cursor."""
        self._view.reset()
        self._draw()

    def _data_at(self, event: events.MouseEvent) -> tuple[float, float] | None:
        """The values in the middle of the cell under the mouse."""
        frame, offset = self._drawing.frame, event.get_content_offset(self)
        if frame is None or offset is None:
            return None
        scale = Scale(self.picture.window, frame.columns, frame.rows)
        return scale.x_of(offset.x - frame.left + 0.5), scale.y_of(offset.y - frame.top + 0.5)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Zoom in at the mouse."""
        self._wheel(event, 1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Zoom out at the mouse."""
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, steps: int) -> None:
        place = self._data_at(event)
        if place is not None:
            event.stop()
            self._view.zoom(steps, *place)
            self._draw()

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Begin to drag the window."""
        self._dragged_from = (event.screen_x, event.screen_y)
        self.capture_mouse()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Drag the window along."""
        frame = self._drawing.frame
        if self._dragged_from is None or frame is None:
            return
        moved_x, moved_y = event.screen_x - self._dragged_from[0], event.screen_y - self._dragged_from[1]
        self._dragged_from = (event.screen_x, event.screen_y)
        self._view.pan(-moved_x / frame.columns, moved_y / frame.rows)
        self._draw()

    def on_mouse_up(self, event: events.MouseUp) -> None:
        """End dragging."""
        self._dragged_from = None
        self.release_mouse()

    def on_click(self, event: events.Click) -> None:
        """Read the value at the mouse."""
        place = self._data_at(event)
        if place is not None:
            self._view.read_at(place[0])
            self._draw()
