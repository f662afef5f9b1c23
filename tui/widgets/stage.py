"""Plots that show curves up to a playhead: all in one, or each in its own beside the others on the same scales.

Owns which points are drawn already. Knows no time: it is told the stretch up to which to show.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from tui import wording, wording_lesson
from tui.classroom.series import Series
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.picture import Axis, Band, Guideline, Line, Pin, Ribbon
from tui.widgets.points import Points
from tui.widgets.signs import Signs

#: Narrowest plot that curves are compared in [cells].
LEAST_PLOT = 34


class Played:
    """One plot and the curves in it."""

    def __init__(self, plot: CurvePlot, series: Sequence[Series], reach: tuple[float, float]) -> None:
        self.plot = plot
        self.series = tuple(series)
        self._reach = reach
        self._begin()

    def _begin(self) -> None:
        """An empty plot."""
        self._lines = [Line(Points(), one.name) for one in self.series]
        self._edges = [(Points(), Points()) for _ in self.series]
        self._shown = [0] * len(self.series)
        self._ended: tuple[bool, ...] = ()
        ribbons = [Ribbon(low, high, n) for n, (low, high) in enumerate(self._edges) if self.series[n].low]
        self.plot.show(self._lines, ribbons=ribbons, reach=self._reach)

    def move(self, at_pct: float) -> None:
        """Show the curves up to a stretch."""
        counts = [one.count_to(at_pct) for one in self.series]
        if any(count < shown for count, shown in zip(counts, self._shown, strict=True)):
            self._begin()
        for number, (one, count) in enumerate(zip(self.series, counts, strict=True)):
            first, self._shown[number] = self._shown[number], count
            if first < count:
                self._grow(number, one, slice(first, count))
        self._mark(at_pct)

    def _grow(self, number: int, one: Series, new: slice) -> None:
        if one.low:
            low, high = self._edges[number]
            low.extend(one.x[new], one.low[new])
            high.extend(one.x[new], one.high[new])
        self.plot.extend(one.x[new], one.y[new], number)

    def _mark(self, at_pct: float) -> None:
        """Pins where curves have ended, and, for a curve on its own, the regions that it has passed."""
        ended = [one for one in self.series if one.x and at_pct >= one.ends_pct]
        regions = self.series[0].regions if len(self.series) == 1 else ()
        passed = [region for region in regions if region.end_pct <= at_pct or (ended and region is regions[-1])]
        marks = (*(one in ended for one in self.series), *(region in passed for region in regions))
        if marks != self._ended:
            self._ended = marks
            self.plot.mark(
                [Pin(one.ends_pct, one.y[-1], _end_label(one)) for one in ended],
                [Band(wording.REGION_NAMES[r.name], r.start_pct, r.end_pct) for r in passed],
            )


def _end_label(one: Series) -> str:
    return wording_lesson.END_AT.format(word=one.end_word, percent=one.ends_pct)


class Stage(Horizontal):
    """The plots on the screen."""

    def __init__(self, signs: Signs, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._signs = signs
        self.played: list[Played] = []

    def has_room_beside(self, count: int) -> bool:
        """Whether so many plots can stand side by side."""
        return self.size.width >= count * LEAST_PLOT

    async def show(self, series: Sequence[Series], y_axis: Axis, guideline_pct: float, *, beside: bool) -> None:
        """Other curves, none of them shown yet."""
        await self.remove_children()
        top = max((y for one in series for y in (one.high or one.y)), default=0.0)
        reach = (max((one.ends_pct for one in series), default=0.0), top)
        sets = [[one] for one in series] if beside else [list(series)]
        self.played = [Played(self._plot(y_axis, guideline_pct), part, reach) for part in sets]
        for played in self.played:
            name = [Static(played.series[0].name, classes="plot-name", markup=False)] if beside else []
            await self.mount(Vertical(*name, played.plot))

    def _plot(self, y_axis: Axis, guideline_pct: float) -> CurvePlot:
        guideline = Guideline(guideline_pct, wording.GUIDELINE.format(percent=guideline_pct))
        plot = CurvePlot(Axis(wording.AXIS_STRETCH, "%"), y_axis, guideline, signs=self._signs)
        plot.can_focus = False  # the arrow keys step the playing
        return plot

    def move(self, at_pct: float) -> None:
        """Show all curves up to a stretch."""
        for played in self.played:
            played.move(at_pct)
