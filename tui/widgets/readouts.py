"""A quantity in large figures: what it is, the value, its unit. Large enough to read across a room."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from tui.widgets.cells import Span
from tui.widgets.digits import figures
from tui.widgets.painted import Painted

#: Shown where there is no value.
NO_VALUE = "--"


def readout_rows(
    label: str, value: str, unit: str, height: int, *, blocks: bool, role: str, width: int = sys.maxsize
) -> list[list[Span]]:
    """The label above the figures; the unit stands at their foot."""
    rows = figures(value, height - 1, blocks=blocks, width=width - len(unit) - 2)
    out = [[Span(f" {label}", "quiet")]]
    for number, row in enumerate(rows):
        foot = f" {unit}" if number == len(rows) - 1 else ""
        out.append([Span(f" {row}", role), Span(foot, "unit")])
    return [*out, *[[Span("", "blank")]] * (height - len(out))]


class Readout(Painted):
    """One large readout on the screen."""

    def __init__(
        self, label: str, unit: str, *, blocks: bool = True, role: str = "figure", id: str | None = None
    ) -> None:
        super().__init__(id=id, classes="readout")
        self._label, self._unit, self._blocks, self._role = label, unit, blocks, role
        self._value = NO_VALUE
        #: What the rows were drawn from.
        self._drawn = ("", "", "", 0, 0)
        self._rows: list[list[Span]] = []

    @property
    def value(self) -> str:
        """What is shown."""
        return self._value

    @property
    def label(self) -> str:
        """What it is a value of."""
        return self._label

    def rename(self, label: str, unit: str) -> None:
        """Show values of something else from now on."""
        if (label, unit) != (self._label, self._unit):
            self._label, self._unit = label, unit
            self.refresh()

    def show(self, value: str | None) -> None:
        """Show another value; None where there is none."""
        shown = NO_VALUE if value is None else value
        if shown != self._value:
            self._value = shown
            self.refresh()

    def row(self, y: int) -> Sequence[Span]:
        """One row of the readout."""
        width, height = self.size
        drawn = (self._label, self._value, self._unit, height, width)
        if drawn != self._drawn:
            self._drawn = drawn
            self._rows = readout_rows(*drawn[:4], blocks=self._blocks, role=self._role, width=width)
        return self._rows[y]


def force_text(force_n: float | None, places: int = 3) -> str | None:
    """A live force, to a thousandth of a newton."""
    return None if force_n is None else f"{round(force_n, places) + 0.0:.{places}f}"


def stretch_text(strain_pct: float | None) -> str | None:
    """A live stretch, to a tenth of a percent."""
    return None if strain_pct is None else f"{round(strain_pct, 1) + 0.0:.1f}"


def time_text(t_s: float | None) -> str | None:
    """A time since the start: seconds, and minutes where there are any."""
    if t_s is None:
        return None
    minutes, seconds = divmod(int(t_s), 60)
    return f"{minutes}:{seconds:02d}"
