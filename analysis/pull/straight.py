"""A straight part of a curve: the line through a window, and how sure its slope and height are.

Owns the windows. Must not know what x and y are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.pull.sums import Line, Sums
from analysis.results import NotMeasured

#: Points that a window must hold.
WINDOW_POINTS = 5
#: Windows as shares of the way from zero to the bend: the usual one first, then those that may take its place.
USUAL = (0.1, 0.5)
OTHERS = ((0.0, 0.25), (0.05, 0.3), (0.2, 0.5), (0.3, 0.6), (0.4, 0.7), (0.55, 0.9))
#: Where even the usual window holds too few points, this one is tried.
WIDEST = (0.0, 1.0)
#: Another window takes over where it is steeper by this share and by this many standard uncertainties.
STEEPER_SHARE = 0.01
STEEPER_SIGMAS = 3.0


@dataclass(frozen=True, slots=True)
class Straight:
    """A line over a window from `from_mm` to `to_mm`; `sigma` is the scatter of one point about it.

    `u_curve` is the standard uncertainty of the slope because the part is not quite straight: from the difference
    of the slopes of its two halves beyond their scatter, taken as the limit of a rectangular distribution (the
    steepest tangent lies at the start of a part that bends).
    """

    line: Line
    sigma: float
    u_curve: float
    from_mm: float
    to_mm: float

    @property
    def u_slope(self) -> float:
        """Standard uncertainty of the slope from the scatter of the points."""
        return self.sigma / math.sqrt(self.line.sxx)

    def u_tilt(self, u_x: float) -> float:
        """Standard uncertainty of the slope from scatter, and from places at both ends that are off by `u_x`."""
        return math.hypot(self.u_slope, self.line.slope * math.sqrt(2.0) * u_x / (self.to_mm - self.from_mm))

    def u_at(self, x: float) -> float:
        """Standard uncertainty of the height at x."""
        off = x - self.line.mean_x
        return math.hypot(self.sigma * math.sqrt(self.line.variance_at(x)), self.u_curve * off)

    @property
    def u_height(self) -> float:
        """Standard uncertainty of the height at the middle of the window."""
        return self.sigma / math.sqrt(self.line.n)


def straight_in(sums: Sums, start: int, stop: int, noise: float) -> Straight:
    """The line through the points from start up to, not with, stop; at least 3 of them."""
    line = sums.line(start, stop)
    free = stop - start - 2
    sigma = max(math.sqrt(sums.residual(start, stop) / free), noise)
    return Straight(line, sigma, _u_curve(sums, start, stop, sigma), float(sums.x[start]), float(sums.x[stop - 1]))


def straight_between(
    sums: Sums, start_mm: float, end_mm: float, inner: tuple[float, float], noise: float, joined: Line
) -> Straight | None:
    """The line through the inner share of a region; through all of it where that holds too few points.

    `joined` is the region's line in the joined fit: it stands where the region itself holds too few. None where
    even that rests on one place.
    """
    for shares in (inner, WIDEST):
        start, stop = _indices(sums, start_mm, end_mm, shares)
        if _holds_a_line(sums, start, stop):
            return straight_in(sums, start, stop, noise)
    return Straight(joined, noise, 0.0, start_mm, end_mm) if joined.sxx > 0.0 else None


def steepest_window(
    sums: Sums, zero_mm: float, end_mm: float, noise: float, u_x: float = 0.0
) -> Straight | NotMeasured:
    """The line through the usual window of the first part, or through a clearly steeper one.

    `u_x` is the standard uncertainty of x that does not grow with it: it tilts short windows.
    """
    start, stop = _indices(sums, zero_mm, end_mm, USUAL)
    if not _holds_a_line(sums, start, stop):
        start, stop = _indices(sums, zero_mm, end_mm, WIDEST)
    if not _holds_a_line(sums, start, stop):
        few = f"only {stop - start} points in the straight first part"
        return NotMeasured(f"{few}; at least {WINDOW_POINTS} are needed")
    best = straight_in(sums, start, stop, noise)
    for shares in OTHERS:
        start, stop = _indices(sums, zero_mm, end_mm, shares)
        if _holds_a_line(sums, start, stop):
            other = straight_in(sums, start, stop, noise)
            best = other if _is_steeper(other, best, u_x) else best
    return best if best.line.slope > 0.0 else NotMeasured("the force does not rise in a straight part at the start")


def _holds_a_line(sums: Sums, start: int, stop: int) -> bool:
    """Whether there are enough points, and not all at one place (a stage that stands)."""
    return stop - start >= WINDOW_POINTS and bool(sums.x[stop - 1] > sums.x[start])


def _indices(sums: Sums, zero: float, end: float, shares: tuple[float, float]) -> tuple[int, int]:
    low, high = (zero + share * (end - zero) for share in shares)
    return sums.place(low), int(sums.x.searchsorted(high, side="right"))


def _is_steeper(other: Straight, best: Straight, u_x: float) -> bool:
    gain = other.line.slope - best.line.slope
    u = math.hypot(other.u_tilt(u_x), best.u_tilt(u_x))
    return gain > STEEPER_SHARE * best.line.slope and gain > STEEPER_SIGMAS * u


def _u_curve(sums: Sums, start: int, stop: int, sigma: float) -> float:
    middle = (start + stop) // 2
    if middle - start < 3 or stop - middle < 3:
        return 0.0
    lower, upper = sums.line(start, middle), sums.line(middle, stop)
    if lower.sxx <= 0.0 or upper.sxx <= 0.0:
        return 0.0
    scatter2 = sigma**2 * (1.0 / lower.sxx + 1.0 / upper.sxx)
    return math.sqrt(max((lower.slope - upper.slope) ** 2 - scatter2, 0.0) / 3.0)
