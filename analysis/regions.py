"""Three joined straight lines through a curve: elastic, yield, post-yield.

Owns the fit. Must not know newtons, strands or uncertainties of calibrations: it sees x and y.

Method
------
The model is y = a + b x + c (x - u)+ + d (x - v)+, continuous at the break points u < v. For given u and v it is
linear; all sums it needs are differences of running sums over the points, so that every pair of break points on a
grid over the whole curve is tried with exact sums over all points: no starting guess, nothing to miss. From the
best pair on, the break points move to where the separately fitted neighbouring lines meet (Hudson, JASA 61 (1966)
1097, doi 10.1080/01621459.1966.10482198; Muggeo, Stat. Med. 22 (2003) 3055, doi 10.1002/sim.1545: both from
memory), as long as the residual is no worse than the grid's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.trace import FloatArray, IntArray

#: Break points tried along the curve: their pairs are the grid.
GRID = 56
#: Points that each line must rest on, places on the grid between two break points, and points below which nothing
#: is fitted.
LEAST_PER_LINE = 3
LEAST_APART = 3
LEAST_POINTS = 12
#: Moves of the break points to where the neighbouring lines meet.
REFINEMENTS = 12


@dataclass(frozen=True, slots=True)
class Line:
    """y = intercept + slope x, from n points around mean_x; sxx is their sum of squares about it."""

    slope: float
    intercept: float
    n: int
    mean_x: float
    sxx: float

    def at(self, x: float) -> float:
        """Height of the line at x."""
        return self.intercept + self.slope * x

    def variance_at(self, x: float) -> float:
        """Variance of the height at x for points of variance 1."""
        return 1.0 / self.n + (x - self.mean_x) ** 2 / self.sxx


@dataclass(frozen=True, slots=True)
class Bends:
    """Joined lines: one or two break points `knots`, the lines, the sum of squared residuals, how many points."""

    knots: tuple[float, ...]
    lines: tuple[Line, ...]
    sse: float
    n: int

    @property
    def sigma(self) -> float:
        """Standard deviation of the points about the lines."""
        free = self.n - 2 - 2 * len(self.knots)
        return math.sqrt(self.sse / free) if free > 0 else 0.0

    def u_knot(self, k: int) -> float:
        """Standard uncertainty of break point k: that of the crossing of its two lines."""
        left, right = self.lines[k], self.lines[k + 1]
        at = self.knots[k]
        angle = abs(left.slope - right.slope)
        spread = math.sqrt(left.variance_at(at) + right.variance_at(at))
        return self.sigma * spread / angle if angle else math.inf


class Sums:
    """Running sums over the points of one curve, x rising, for exact fits on any stretch of it."""

    def __init__(self, x: FloatArray, y: FloatArray) -> None:
        self.x, self.y = x, y
        self.n = int(x.size)
        self.x0, self.y0 = float(x.mean()), float(y.mean())
        cx, cy = x - self.x0, y - self.y0
        parts = np.empty((6, self.n + 1))
        parts[:, 0] = 0.0
        np.cumsum((np.ones(self.n), cx, cx * cx, cy, cx * cy, cy * cy), axis=1, out=parts[:, 1:])
        self._run = parts

    def over(self, start: int, stop: int) -> FloatArray:
        """Sums of 1, x, xx, y, xy, yy over the points from start to stop, about the means of the whole curve."""
        return np.asarray(self._run[:, stop] - self._run[:, start])

    def _numbers(self, start: int, stop: int) -> list[float]:
        return [float(s) for s in self.over(start, stop)]

    def after(self, start: IntArray) -> FloatArray:
        """The same from each start to the end of the curve."""
        return np.asarray(self._run[:, -1:] - self._run[:, start])

    def line(self, start: int, stop: int) -> Line:
        """Least-squares line through the points from start to stop."""
        n, sx, sxx, sy, sxy, _ = self._numbers(start, stop)
        spread = sxx - sx * sx / n
        slope = (sxy - sx * sy / n) / spread if spread > 0.0 else 0.0
        mean_x, mean_y = sx / n + self.x0, sy / n + self.y0
        return Line(slope, mean_y - slope * mean_x, int(n), mean_x, spread)

    def residual(self, start: int, stop: int) -> float:
        """Sum of squared residuals about that line."""
        n, sx, sxx, sy, sxy, syy = self._numbers(start, stop)
        spread = sxx - sx * sx / n
        rest = syy - sy * sy / n
        return max(rest - (sxy - sx * sy / n) ** 2 / spread, 0.0) if spread > 0.0 else max(rest, 0.0)


@dataclass(frozen=True, slots=True)
class _Hinges:
    """Hinges (x - u)+ at several u, made orthogonal to the straight line through the whole curve."""

    u: FloatArray
    sums: FloatArray
    one: FloatArray
    ramp: FloatArray
    square: FloatArray
    with_y: FloatArray


def _hinges(sums: Sums, u: FloatArray) -> _Hinges:
    """Products of each hinge with 1, x, itself and y over all points; the line's share taken out."""
    tail = sums.after(np.searchsorted(sums.x, sums.x0 + u))
    n, sx, sxx, sy, sxy, _ = tail
    one = sx - u * n
    ramp = sxx - u * sx
    whole = sums.over(0, sums.n)
    square = sxx - 2.0 * u * sx + u * u * n - one * one / sums.n - ramp * ramp / whole[2]
    with_y = sxy - u * sy - ramp * whole[4] / whole[2]
    return _Hinges(u, tail, one, ramp, square, with_y)


def _pair_gain(sums: Sums, first: _Hinges, second: _Hinges) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Residual saved by every pair of hinges (first by rows, second by columns), and both changes of slope."""
    u, v = first.u[:, None], second.u[None, :]
    n, sx, sxx = second.sums[0], second.sums[1], second.sums[2]
    sxx_whole = float(sums.over(0, sums.n)[2])
    cross = sxx - (u + v) * sx + u * v * n - first.one[:, None] * second.one / sums.n
    cross -= first.ramp[:, None] * (second.ramp / sxx_whole)
    a, b = first.square[:, None], second.square[None, :]
    p, q = first.with_y[:, None], second.with_y[None, :]
    det = a * b - cross * cross
    det = np.where(det > 1e-12 * a * b, det, np.inf)
    c = (p * b - q * cross) / det
    d = (q * a - p * cross) / det
    return c * p + d * q, c, d


def _grid(sums: Sums) -> FloatArray:
    """Break points to try: points of the curve, evenly by count, the ends left out."""
    inner = np.linspace(LEAST_PER_LINE, sums.n - LEAST_PER_LINE, min(GRID, sums.n - 2 * LEAST_PER_LINE + 1))
    return np.unique(sums.x[inner.astype(np.int64)]) - sums.x0


def fit_three_lines(sums: Sums) -> Bends | None:
    """Best three joined lines that bend down and then up; None where no pair of break points does.

    Parameters
    ----------
    sums
        Running sums of the curve; x must not fall.
    """
    if sums.n < LEAST_POINTS:
        return None
    hinges = _hinges(sums, _grid(sums))
    gain, c, d = _pair_gain(sums, hinges, hinges)
    apart = np.arange(hinges.u.size)
    allowed = (apart[None, :] - apart[:, None] >= LEAST_APART) & (c < 0.0) & (d > 0.0)
    gain = np.where(allowed, gain, -1.0)
    best = int(np.argmax(gain))
    row, column = divmod(best, hinges.u.size)
    if gain[row, column] <= 0.0:
        return None
    start = (float(hinges.u[row]), float(hinges.u[column]))
    return _refined(sums, start, float(gain[row, column]))


def fit_two_lines(sums: Sums) -> Bends | None:
    """Best two joined lines that bend down; None where no break point does."""
    if sums.n < LEAST_POINTS:
        return None
    hinges = _hinges(sums, _grid(sums))
    gain = np.where(hinges.with_y < 0.0, hinges.with_y**2 / np.maximum(hinges.square, 1e-300), -1.0)
    best = int(np.argmax(gain))
    return _refined(sums, (float(hinges.u[best]),), float(gain[best])) if gain[best] > 0.0 else None


def _refined(sums: Sums, knots: tuple[float, ...], gain: float) -> Bends | None:
    """Move the break points to where the separately fitted lines meet, as long as nothing is lost by it."""
    best = joined = _join(sums, knots)
    seen: set[tuple[int, ...]] = set()
    for _ in range(REFINEMENTS):
        cuts = _cuts(sums, joined.knots)
        if cuts in seen or min(b - a for a, b in pairwise(cuts)) < LEAST_PER_LINE:
            break
        seen.add(cuts)
        lines = [sums.line(a, b) for a, b in pairwise(cuts)]
        crossings = tuple(_crossing(left, right) - sums.x0 for left, right in pairwise(lines))
        if not _inside(sums, crossings):
            break
        joined = _join(sums, crossings)
        if joined.gain > best.gain and joined.bends_as_asked:
            best = joined
    return _as_bends(sums, best) if best.gain >= gain * (1.0 - 1e-9) else None


def _cuts(sums: Sums, knots: tuple[float, ...]) -> tuple[int, ...]:
    inner = (int(np.searchsorted(sums.x, sums.x0 + k)) for k in knots)
    return (0, *inner, sums.n)


def _crossing(left: Line, right: Line) -> float:
    turn = left.slope - right.slope
    return (right.intercept - left.intercept) / turn if turn else np.inf


def _inside(sums: Sums, knots: tuple[float, ...]) -> bool:
    low, high = float(sums.x[0]) - sums.x0, float(sums.x[-1]) - sums.x0
    return all(a < b for a, b in pairwise((low, *knots, high)))


@dataclass(frozen=True, slots=True)
class _Joined:
    """Joined lines with given break points: residual saved, first line (height and slope), changes of slope."""

    knots: tuple[float, ...]
    gain: float
    height: float
    slope: float
    turns: tuple[float, ...]

    @property
    def bends_as_asked(self) -> bool:
        """Down at the first break point, up at the second."""
        return self.turns[0] < 0.0 and all(t > 0.0 for t in self.turns[1:])


def _join(sums: Sums, knots: tuple[float, ...]) -> _Joined:
    """The best continuous lines with one or two given break points, from the sums alone."""
    n = sums.n
    xx, y, xy = (float(s) for s in sums.over(0, n)[2:5])
    one, ramp, square, with_y, tails = [], [], [], [], []
    for k in knots:
        t, sx, sxx, sy, sxy, _ = sums.over(int(np.searchsorted(sums.x, sums.x0 + k)), n).tolist()
        tails.append((t, sx, sxx))
        one.append(sx - k * t)
        ramp.append(sxx - k * sx)
        square.append(sxx - 2.0 * k * sx + k * k * t - one[-1] ** 2 / n - ramp[-1] ** 2 / xx)
        with_y.append(sxy - k * sy - ramp[-1] * xy / xx)
    if len(knots) == 1:
        turns: tuple[float, ...] = (with_y[0] / square[0] if square[0] > 0.0 else 0.0,)
    else:
        (u, v), (t, sx, sxx) = knots, tails[1]
        cross = sxx - (u + v) * sx + u * v * t - one[0] * one[1] / n - ramp[0] * ramp[1] / xx
        det = square[0] * square[1] - cross * cross
        det = det if det > 1e-12 * square[0] * square[1] else np.inf
        turns = (
            (with_y[0] * square[1] - with_y[1] * cross) / det,
            (with_y[1] * square[0] - with_y[0] * cross) / det,
        )
    gain = sum(t * w for t, w in zip(turns, with_y, strict=True))
    slope = (xy - sum(t * r for t, r in zip(turns, ramp, strict=True))) / xx
    height = (y - sum(t * o for t, o in zip(turns, one, strict=True))) / n
    return _Joined(knots, gain, height, slope, turns)


def _as_bends(sums: Sums, joined: _Joined) -> Bends:
    """The joined lines with the points that each rests on."""
    x, fitted = sums.x - sums.x0, joined.height + joined.slope * (sums.x - sums.x0)
    slope, height, lines = joined.slope, joined.height, []
    cuts = _cuts(sums, joined.knots)
    for k, (start, stop) in enumerate(pairwise(cuts)):
        if k:
            turn, knot = joined.turns[k - 1], joined.knots[k - 1]
            slope, height = slope + turn, height - turn * knot
            fitted[start:] += turn * (x[start:] - knot)
        own = sums.line(start, stop)
        lines.append(Line(slope, height + sums.y0 - slope * sums.x0, own.n, own.mean_x, own.sxx))
    rest = sums.y - sums.y0 - fitted
    return Bends(tuple(k + sums.x0 for k in joined.knots), tuple(lines), float(rest @ rest), sums.n)
