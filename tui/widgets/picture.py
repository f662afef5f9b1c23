"""What a plot is to show, as values: lines, axes, the guideline, regions, the window and the cursor."""

from __future__ import annotations

from dataclasses import dataclass

from tui.widgets.points import Points
from tui.widgets.scale import Window


@dataclass(frozen=True, slots=True)
class Axis:
    """What runs along an axis, in words, and its unit."""

    title: str
    unit: str

    @property
    def text(self) -> str:
        """As written beside the axis."""
        return f"{self.title} ({self.unit})" if self.unit else self.title


@dataclass(frozen=True, slots=True)
class Line:
    """One curve and what it is called; the points may grow behind its back."""

    points: Points
    name: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    """A named stretch of the x axis."""

    name: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Ribbon:
    """The spread around a curve, from `low` to `high` at the same places along x; both may grow."""

    low: Points
    high: Points
    line: int = 0


@dataclass(frozen=True, slots=True)
class Pin:
    """A moment on a curve, such as the break: a sign at its place, and a word beside it where there is room."""

    x: float
    y: float
    label: str


@dataclass(frozen=True, slots=True)
class Guideline:
    """An upright line with a label."""

    x: float
    label: str


@dataclass(frozen=True, slots=True)
class Cursor:
    """Where a value is read: the point of one line, by its number."""

    line: int
    point: int


@dataclass(frozen=True, slots=True)
class Picture:
    """All of a plot but its size."""

    lines: tuple[Line, ...]
    window: Window
    x_axis: Axis
    y_axis: Axis
    guideline: Guideline | None = None
    bands: tuple[Band, ...] = ()
    ribbons: tuple[Ribbon, ...] = ()
    pins: tuple[Pin, ...] = ()
    cursor: Cursor | None = None
