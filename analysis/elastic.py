"""The straight first part of a curve: its slope, and where it meets zero force (the onset).

Owns the window for the modulus and the toe construction. Must not know gauge lengths or areas: it sees the
extension [mm] and the force [N].

Method
------
1. Joined lines (`regions`) give the bend at the end of the elastic part; without a bend it reaches to the end.
2. Rounded corners and a toe bias that first line, so the slope is taken anew from windows well inside the part:
   the middle one, or a shorter one where that is clearly steeper (initial modulus: the steepest straight part).
3. The onset is where that line meets zero force (ASTM D638 Annex A1, its first construction: the straight part
   extended to zero stress; where no part is straight, the steepest tangent takes its place).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.regions import Bends, Line, Sums, fit_three_lines, fit_two_lines
from analysis.results import NotMeasured
from analysis.spans import median_of_3
from analysis.trace import FloatArray

#: The curve begins where the force stays above this many noise deviations and this share of its highest value.
RISE_SIGMAS = 5.0
RISE_SHARE = 0.02
#: Windows as shares of the way from onset to bend: the middle one first, then steeper ones that may take its place.
MIDDLE = (0.2, 0.65)
OTHERS = ((0.05, 0.35), (0.1, 0.4), (0.25, 0.55), (0.4, 0.7), (0.55, 0.9))
#: Another window takes over where it is steeper by this share and by this many standard uncertainties.
STEEPER_SHARE = 0.02
STEEPER_SIGMAS = 2.5
#: Points that a window must hold.
WINDOW_POINTS = 5
#: The toe ends where the curve comes this close to the line: noise deviations, or share of the force at the bend.
TOE_SIGMAS = 4.0
TOE_SHARE = 0.02
#: A second line this much flatter than the first is a yield region; a third this much steeper is a post-yield one.
YIELD_SLOPE = 0.5
POST_YIELD_SLOPE = 1.4
#: A further line must save this many times the residual variance (an F-like ratio), and rise by this share of the
#: highest force and these noise deviations above the line before it.
WORTH = 25.0
POST_YIELD_RISE = 0.02
POST_YIELD_SIGMAS = 4.0


@dataclass(frozen=True, slots=True)
class Elastic:
    """The straight part: slope [N/mm] and onset [mm] with standard uncertainties from the scatter of the points.

    `from_mm` and `to_mm` bound the window; `toe_mm`, `toe_n` is where the toe ends; `bends` the joined lines.
    """

    slope: float
    u_slope: float
    onset_mm: float
    u_onset_mm: float
    n: int
    from_mm: float
    to_mm: float
    toe_mm: float
    toe_n: float
    bends: Bends | None


def fit_elastic(x: FloatArray, force: FloatArray, noise: float) -> Elastic | NotMeasured:
    """Fit the straight first part.

    Parameters
    ----------
    x, force
        Corrected extension [mm] and force [N] up to the break, same length; x does not fall.
    noise
        Standard deviation of one force reading.
    """
    start = rise_index(force, noise)
    if x.size - start < WINDOW_POINTS:
        few = max(x.size - start, 0)
        return NotMeasured(f"only {few} points rise to the highest force; at least {WINDOW_POINTS} are needed")
    fitted = _fit_from(x, force, noise, start)
    if isinstance(fitted, NotMeasured):
        return fitted
    toe = int(np.searchsorted(x, fitted.toe_mm))
    if fitted.bends is not None and toe - start >= 3:
        again = _fit_from(x, force, noise, toe)
        return fitted if isinstance(again, NotMeasured) else again
    return fitted


def rise_index(force: FloatArray, noise: float) -> int:
    """First sample from which on the force stays above the noise, up to its highest value."""
    peak = int(np.argmax(force))
    low = np.flatnonzero(force[: peak + 1] <= max(RISE_SIGMAS * noise, RISE_SHARE * float(force[peak])))
    return int(low[-1]) + 1 if low.size else 0


def choose_bends(sums: Sums, noise: float) -> Bends | None:
    """One, two or no bends: a further line only where it has the slope of a region and is worth it."""
    two = fit_two_lines(sums)
    three = fit_three_lines(sums)
    straight = sums.residual(0, sums.n)
    if three is not None and _is_yield(three) and _is_post_yield(three, sums, noise):
        base = straight if two is None else min(two.sse, straight)
        if base - three.sse > WORTH * 2.0 * max(three.sigma, noise) ** 2:
            return three
    if two is not None and _is_yield(two) and straight - two.sse > WORTH * 2.0 * max(two.sigma, noise) ** 2:
        return two
    return None


def _is_yield(bends: Bends) -> bool:
    return bends.lines[0].slope > 0.0 and bends.lines[1].slope < YIELD_SLOPE * bends.lines[0].slope


def _is_post_yield(bends: Bends, sums: Sums, noise: float) -> bool:
    middle, last = bends.lines[1], bends.lines[2]
    end = float(sums.x[-1])
    rise = (last.slope - middle.slope) * (end - bends.knots[1])
    steeper = last.slope > POST_YIELD_SLOPE * max(middle.slope, 0.0)
    return steeper and rise > max(POST_YIELD_RISE * float(sums.y.max()), POST_YIELD_SIGMAS * noise)


def _fit_from(x: FloatArray, force: FloatArray, noise: float, start: int) -> Elastic | NotMeasured:
    sums = Sums(x[start:], force[start:])
    bends = choose_bends(sums, noise)
    first = bends.lines[0] if bends else sums.line(0, sums.n)
    end = bends.knots[0] if bends else float(sums.x[-1])
    if first.slope <= 0.0:
        return NotMeasured("the force does not rise in a straight part at the start")
    zero = max(-first.intercept / first.slope, float(sums.x[0]) - (end - float(sums.x[0])))
    line, low, high, residual = _window(sums, zero, end)
    if line is None or line.slope <= 0.0:
        points = 0 if line is None else line.n
        return NotMeasured(f"only {points} points in the straight first part; at least {WINDOW_POINTS} are needed")
    sigma = max(float(np.sqrt(residual / (line.n - 2))) if line.n > 2 else 0.0, noise)
    onset = -line.intercept / line.slope
    toe = _toe_end(x, force, line, max(TOE_SIGMAS * noise, TOE_SHARE * line.at(end)), high)
    return Elastic(
        slope=line.slope,
        u_slope=sigma / float(np.sqrt(line.sxx)),
        onset_mm=onset,
        u_onset_mm=sigma * float(np.sqrt(line.variance_at(onset))) / line.slope,
        n=line.n,
        from_mm=low,
        to_mm=high,
        toe_mm=float(x[toe]),
        toe_n=float(force[toe]),
        bends=bends,
    )


def _window(sums: Sums, zero: float, end: float) -> tuple[Line | None, float, float, float]:
    """The line through the middle window, or through a clearly steeper one; its bounds and residual."""
    middle = _line_in(sums, zero, end, MIDDLE)
    if middle[0] is None:
        return _line_in(sums, zero, end, (0.0, 1.0))
    best = middle
    for shares in OTHERS:
        other = _line_in(sums, zero, end, shares)
        if other[0] is not None and best[0] is not None and _is_steeper(other, best):
            best = other
    return best


def _line_in(
    sums: Sums, zero: float, end: float, shares: tuple[float, float]
) -> tuple[Line | None, float, float, float]:
    low, high = (zero + share * (end - zero) for share in shares)
    start, stop = int(np.searchsorted(sums.x, low)), int(np.searchsorted(sums.x, high, side="right"))
    if stop - start < WINDOW_POINTS:
        return None, low, high, 0.0
    return sums.line(start, stop), float(sums.x[start]), float(sums.x[stop - 1]), sums.residual(start, stop)


def _is_steeper(
    other: tuple[Line | None, float, float, float], best: tuple[Line | None, float, float, float]
) -> bool:
    a, b = other[0], best[0]
    if a is None or b is None:
        return False
    u2 = sum(fit[3] / max(line.n - 2, 1) / line.sxx for fit, line in ((other, a), (best, b)))
    return a.slope > (1.0 + STEEPER_SHARE) * b.slope and (a.slope - b.slope) ** 2 > STEEPER_SIGMAS**2 * u2


def _toe_end(x: FloatArray, force: FloatArray, line: Line, near: float, high: float) -> int:
    """First sample from which on the curve keeps to the line; before it, a toe lies above the line's extension."""
    stop = max(int(np.searchsorted(x, high)), 1)
    above = median_of_3(force[:stop]) - line.intercept - line.slope * x[:stop] > near
    off = np.flatnonzero(above)
    return min(int(off[-1]) + 1, stop - 1) if off.size else 0
