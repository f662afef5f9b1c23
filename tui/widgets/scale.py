"""The part of the plane that a plot shows, and the way from data to dots. Knows numbers only."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from tui.widgets.ticks import round_above

#: Smallest part of the whole that can be zoomed into: finer than this is below what the numbers carry.
DEEPEST_ZOOM = 1e-6

#: Share of the axis kept free past the data, so that a growing curve does not touch the edge.
HEADROOM = 1.04


@dataclass(frozen=True, slots=True)
class Window:
    """What is shown: x and y from low to high."""

    x_low: float
    x_high: float
    y_low: float
    y_high: float

    @property
    def width(self) -> float:
        """Extent in x."""
        return self.x_high - self.x_low

    @property
    def height(self) -> float:
        """Extent in y."""
        return self.y_high - self.y_low

    def zoomed(self, factor: float, x: float, y: float) -> Window:
        """`factor` times as much detail, with the point (x, y) staying where it is."""
        return Window(
            x - (x - self.x_low) / factor,
            x + (self.x_high - x) / factor,
            y - (y - self.y_low) / factor,
            y + (self.y_high - y) / factor,
        )

    def panned(self, right: float, up: float) -> Window:
        """Moved by shares of its own width and height."""
        dx, dy = right * self.width, up * self.height
        return Window(self.x_low + dx, self.x_high + dx, self.y_low + dy, self.y_high + dy)

    def within(self, whole: Window) -> Window:
        """Pushed back inside `whole`, and never larger than it nor uselessly small."""
        x_low, x_high = _inside(self.x_low, self.x_high, whole.x_low, whole.x_high)
        y_low, y_high = _inside(self.y_low, self.y_high, whole.y_low, whole.y_high)
        return Window(x_low, x_high, y_low, y_high)

    def holding(self, x_low: float, x_high: float, y_low: float, y_high: float) -> Window:
        """Itself where it holds these extents, else one with round limits that does.

        Limits only move out, and in round steps, so that a growing curve is redrawn seldom.
        """
        grown = self
        if x_high > self.x_high:
            grown = replace(grown, x_high=round_above(x_high * HEADROOM))
        if y_high > self.y_high:
            grown = replace(grown, y_high=round_above(y_high * HEADROOM))
        if x_low < self.x_low:
            grown = replace(grown, x_low=-round_above(-x_low * HEADROOM, 10) if x_low < 0 else x_low)
        if y_low < self.y_low:
            grown = replace(grown, y_low=-round_above(-y_low * HEADROOM, 10) if y_low < 0 else y_low)
        return grown


def _inside(low: float, high: float, whole_low: float, whole_high: float) -> tuple[float, float]:
    """An interval moved and cut so that it lies in another one."""
    whole = whole_high - whole_low
    span = high - low
    if not math.isfinite(span) or span >= whole:
        return whole_low, whole_high
    if span < whole * DEEPEST_ZOOM:
        middle, half = (low + high) / 2, whole * DEEPEST_ZOOM / 2
        low, high = middle - half, middle + half
        span = high - low
    if low < whole_low:
        return whole_low, whole_low + span
    if high > whole_high:
        return whole_high - span, whole_high
    return low, high


class Scale:
    """From data to dots: x to the right from 0, y downwards from 0, as a screen counts."""

    __slots__ = ("per_x", "per_y", "x_low", "y_high")

    def __init__(self, window: Window, dots_wide: int, dots_tall: int) -> None:
        self.x_low, self.y_high = window.x_low, window.y_high
        #: Dots per unit of x and of y.
        self.per_x = dots_wide / window.width
        self.per_y = dots_tall / window.height

    def dot_x(self, x: float) -> float:
        """Where `x` lies [dots from the left]."""
        return (x - self.x_low) * self.per_x

    def dot_y(self, y: float) -> float:
        """Where `y` lies [dots from the top]."""
        return (self.y_high - y) * self.per_y

    def x_of(self, dot: float) -> float:
        """The value of x at a distance from the left [dots]."""
        return self.x_low + dot / self.per_x

    def y_of(self, dot: float) -> float:
        """The value of y at a distance from the top [dots]."""
        return self.y_high - dot / self.per_y
