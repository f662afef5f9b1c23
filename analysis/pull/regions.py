"""Three joined straight lines through a curve: elastic, yield, post-yield.

Owns the fit. Must not know newtons, strands or uncertainties of calibrations: it sees x and y.

Method
------
The model is y = a + b x + c (x - u)+ + d (x - v)+, continuous at the break points u < v, with c < 0 (it bends down)
and d > 0 (it bends up again). For given u and v it is linear, and all sums it needs are differences of running sums
over the points: so every pair of break points on a grid over the whole curve is tried, with exact sums over all
points. There is no starting guess, and nothing to miss. From the best pair on, the break points move to where the
separately fitted neighbouring lines meet, and the best place seen is kept: it is never worse than the grid's.
(Hudson, JASA 61 (1966) 1097, doi 10.1080/01621459.1966.10482198; Muggeo, Stat. Med. 22 (2003) 3055,
doi 10.1002/sim.1545; both from memory.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.pull.spans import BoolArray
from analysis.pull.sums import Line, Sums
from analysis.trace import FloatArray, IntArray

#: Break points tried along the curve: their pairs are the grid. They lie closer together at the start, by this
#: power, since the elastic part is short and the post-yield part long.
GRID = 48
GRID_POWER = 1.6
_GRID_SHARES = np.linspace(0.0, 1.0, GRID) ** GRID_POWER
#: Points that each line must rest on, and points below which nothing is fitted.
LEAST_PER_LINE = 3
LEAST_POINTS = 12
#: Share of the curve that the middle line must span: a shorter one is a wiggle.
LEAST_SPAN = 0.04
#: Moves of the break points to where the neighbouring lines meet.
REFINEMENTS = 8


@dataclass(frozen=True, slots=True)
class Bends:
    """Joined lines: one or two break points `knots`, the lines, and the sum of squared residuals of n points."""

    knots: tuple[float, ...]
    lines: tuple[Line, ...]
    sse: float
    n: int

    @property
    def sigma(self) -> float:
        """Standard deviation of the points about the lines."""
        free = self.n - 2 - 2 * len(self.knots)
        return math.sqrt(self.sse / free) if free > 0 else 0.0


@dataclass(frozen=True, slots=True)
class _Hinges:
    """Hinges (x - u)+ at several u: products with 1, x, themselves and y, the straight line's share taken out.

    `tail` are the sums over the points from `cut` on, which lie beyond each u; x and u count from the curve's mean.
    """

    u: FloatArray
    cut: IntArray
    tail: FloatArray
    one: FloatArray
    ramp: FloatArray
    square: FloatArray
    with_y: FloatArray


@dataclass(frozen=True, slots=True)
class _Joined:
    """Joined lines with given break points: residual saved, height and slope at the mean, changes of slope."""

    knots: tuple[float, ...]
    gain: float
    height: float
    slope: float
    turns: tuple[float, ...]

    @property
    def bends_as_asked(self) -> bool:
        """Down at the first break point, up at the second."""
        return self.turns[0] < 0.0 and all(t > 0.0 for t in self.turns[1:])


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
    gain, c, d = _pair_gain(sums, hinges)
    span = float(sums.x[-1] - sums.x[0])
    allowed = (hinges.u[None, :] - hinges.u[:, None] >= LEAST_SPAN * span) & (c < 0.0) & (d > 0.0)
    allowed &= hinges.cut[None, :] - hinges.cut[:, None] >= LEAST_PER_LINE
    allowed &= _inner(sums, hinges)[:, None] & _inner(sums, hinges)[None, :]
    gain = np.where(allowed, gain, -1.0)
    row, column = divmod(int(np.argmax(gain)), hinges.u.size)
    if gain[row, column] <= 0.0:
        return None
    return _refined(sums, (float(hinges.u[row]), float(hinges.u[column])))


def fit_two_lines(sums: Sums) -> Bends | None:
    """Best two joined lines that bend down; None where no break point does."""
    if sums.n < LEAST_POINTS:
        return None
    hinges = _hinges(sums, _grid(sums))
    gain = np.where(
        (hinges.with_y < 0.0) & _inner(sums, hinges), hinges.with_y**2 / np.maximum(hinges.square, 1e-300), -1.0
    )
    best = int(np.argmax(gain))
    return _refined(sums, (float(hinges.u[best]),)) if gain[best] > 0.0 else None


def _grid(sums: Sums) -> FloatArray:
    """Break points to try: points of the curve, counted from its mean, the ends left out."""
    inner = LEAST_PER_LINE + _GRID_SHARES * (sums.n - 2 * LEAST_PER_LINE)
    return np.asarray(sums.x[inner.astype(np.int64)] - sums.x0)


def _inner(sums: Sums, hinges: _Hinges) -> BoolArray:
    """Break points with enough points on both sides (a stage that stands repeats its place)."""
    return (hinges.cut >= LEAST_PER_LINE) & (hinges.cut <= sums.n - LEAST_PER_LINE)


def _hinges(sums: Sums, u: FloatArray) -> _Hinges:
    cut = sums.x.searchsorted(sums.x0 + u)
    tail = sums.after(cut)
    n, sx, sxx, sy, sxy, _ = tail
    _, _, xx, _, xy, _ = sums.over(0, sums.n)
    one = sx - u * n
    ramp = sxx - u * sx
    square = sxx - 2.0 * u * sx + u * u * n - one * one / sums.n - ramp * ramp / xx
    return _Hinges(u, cut, tail, one, ramp, square, sxy - u * sy - ramp * (xy / xx))


def _pair_gain(sums: Sums, hinges: _Hinges) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Residual saved by every pair of hinges (u by rows, v by columns, u < v), and both changes of slope."""
    u, v = hinges.u[:, None], hinges.u[None, :]
    n, sx, sxx = hinges.tail[:3]
    xx = sums.over(0, sums.n)[2]
    cross = (sxx - v * sx) - u * (sx - v * n)
    cross -= hinges.one[:, None] * (hinges.one / sums.n)
    cross -= hinges.ramp[:, None] * (hinges.ramp / xx)
    a, b = hinges.square[:, None], hinges.square[None, :]
    p, q = hinges.with_y[:, None], hinges.with_y[None, :]
    ab = a * b
    det = ab - cross * cross
    det[det <= 1e-12 * ab] = np.inf
    c = (p * b - q * cross) / det
    d = (q * a - p * cross) / det
    return c * p + d * q, c, d


def _refined(sums: Sums, knots: tuple[float, ...]) -> Bends:
    """Move the break points to where the separately fitted lines meet; the best place seen is kept."""
    best = joined = _join(sums, knots)
    seen: set[tuple[int, ...]] = set()
    for _ in range(REFINEMENTS):
        cuts = _cuts(sums, joined.knots)
        if cuts in seen or min(b - a for a, b in pairwise(cuts)) < LEAST_PER_LINE:
            break
        seen.add(cuts)
        lines = [sums.line(a, b) for a, b in pairwise(cuts)]
        moved = tuple(left.crossing(right) - sums.x0 for left, right in pairwise(lines))
        if not _inside(sums, moved):
            break
        joined = _join(sums, moved)
        held = min(b - a for a, b in pairwise(_cuts(sums, moved))) >= LEAST_PER_LINE
        if joined.gain > best.gain and joined.bends_as_asked and held:
            best = joined
    return _as_bends(sums, best)


def _cuts(sums: Sums, knots: tuple[float, ...]) -> tuple[int, ...]:
    return (0, *(sums.place(sums.x0 + k) for k in knots), sums.n)


def _inside(sums: Sums, knots: tuple[float, ...]) -> bool:
    low, high = float(sums.x[0]) - sums.x0, float(sums.x[-1]) - sums.x0
    return all(a < b for a, b in pairwise((low, *knots, high)))


def _join(sums: Sums, knots: tuple[float, ...]) -> _Joined:
    """The best continuous lines with one or two given break points, from the sums alone."""
    n = sums.n
    _, _, xx, y, xy, _ = sums.over(0, n)
    one, ramp, square, with_y, tails = [], [], [], [], []
    for k in knots:
        t, sx, sxx, sy, sxy, _ = sums.over(sums.place(sums.x0 + k), n)
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
        turns = _solved(square, with_y, cross)
    gain = sum(t * w for t, w in zip(turns, with_y, strict=True))
    slope = (xy - sum(t * r for t, r in zip(turns, ramp, strict=True))) / xx
    height = (y - sum(t * o for t, o in zip(turns, one, strict=True))) / n
    return _Joined(knots, gain, height, slope, turns)


def _solved(square: list[float], with_y: list[float], cross: float) -> tuple[float, float]:
    """Both changes of slope from the two normal equations; zero where the hinges can't be told apart."""
    (a, b), (p, q) = square, with_y
    det = a * b - cross * cross
    return ((p * b - q * cross) / det, (q * a - p * cross) / det) if det > 1e-12 * a * b else (0.0, 0.0)


def _as_bends(sums: Sums, joined: _Joined) -> Bends:
    """The joined lines with the points that each rests on."""
    x = sums.x - sums.x0
    fitted = joined.height + joined.slope * x
    slope, height, lines = joined.slope, joined.height, []
    for k, (start, stop) in enumerate(pairwise(_cuts(sums, joined.knots))):
        if k:
            turn, knot = joined.turns[k - 1], joined.knots[k - 1]
            slope, height = slope + turn, height - turn * knot
            fitted[start:] += turn * (x[start:] - knot)
        own = sums.line(start, stop)
        lines.append(Line(slope, height + sums.y0 - slope * sums.x0, own.n, own.mean_x, own.sxx))
    rest = sums.y - sums.y0 - fitted
    return Bends(tuple(k + sums.x0 for k in joined.knots), tuple(lines), float(rest @ rest), sums.n)
