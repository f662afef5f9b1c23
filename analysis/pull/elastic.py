"""The straight parts of a curve: the slope of the first, where it meets zero force, and where the parts meet.

Owns the windows for the slopes. Must not know gauge lengths or areas: it sees extension [mm] and force [N].

Method
------
1. Joined lines (`regions`) say where the curve bends; without a bend the first part reaches to the end.
2. Rounded corners and a toe bias lines fitted over whole regions, so each slope is taken anew from points well
   inside its region; for the first part from the steepest of several windows (initial modulus: the slope of the
   steepest straight part).
3. The onset is where that first line meets zero force (ASTM D638 Annex A1, its first construction: the straight
   part extended to zero stress; where no part is straight, the steepest window stands for the steepest tangent).
4. The bends are where neighbouring lines meet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.pull.regions import Bends, fit_three_lines, fit_two_lines
from analysis.pull.spans import median_of_3, moving_mean
from analysis.pull.straight import WINDOW_POINTS, Straight, steepest_window, straight_between
from analysis.pull.sums import Sums
from analysis.results import NotMeasured
from analysis.trace import FloatArray

#: The curve begins where the force stays above this many noise deviations and this share of its highest value.
RISE_SIGMAS = 5.0
RISE_SHARE = 0.02
#: Share of the highest force that the noise is averaged down to for this, over at most one of so many parts.
RISE_NOISE = 0.01
RISE_PARTS = 40
#: A first line that passes above the last reading before the rise, by this share of the next reading and by so many
#: noise deviations, is no first part: that part was not seen.
UNSEEN_RISE = 0.4
UNSEEN_SIGMAS = 6.0
#: The toe ends where the curve comes this close to the line: noise deviations, or share of the force at the bend.
TOE_SIGMAS = 4.0
TOE_SHARE = 0.02
#: A second line this much flatter than the first is a yield region; a third this much steeper is a post-yield one.
YIELD_SLOPE = 0.5
POST_YIELD_SLOPE = 1.4
#: A further line must save this many times the residual variance, and the third must rise by this share of the
#: highest force and so many noise deviations above the second.
WORTH = 50.0
POST_YIELD_RISE = 0.02
POST_YIELD_SIGMAS = 4.0
#: Shares of a region that its line rests on, its round corners left out: of yield, of post-yield.
YIELD_INNER = (0.15, 0.85)
POST_YIELD_INNER = (0.3, 1.0)


@dataclass(frozen=True, slots=True)
class Elastic:
    """The straight parts: `first`, and `second` and `third` where the curve bends; the onset and the bends [mm].

    `toe_mm`, `toe_n` is where the toe ends: from there on the curve keeps to the first line.
    """

    first: Straight
    second: Straight | None
    third: Straight | None
    onset_mm: float
    bends_mm: tuple[float, ...]
    toe_mm: float
    toe_n: float

    @property
    def u_onset_mm(self) -> float:
        """Standard uncertainty of the onset from the scatter of the points."""
        line = self.first.line
        return self.first.sigma * float(np.sqrt(line.variance_at(self.onset_mm))) / line.slope

    @property
    def bend_n(self) -> float | None:
        """Force where the first two lines meet."""
        return self.first.line.at(self.bends_mm[0]) if self.bends_mm else None


def fit_elastic(x: FloatArray, force: FloatArray, noise: float, u_x: float = 0.0) -> Elastic | NotMeasured:
    """Fit the straight parts.

    Parameters
    ----------
    x, force
        Corrected extension [mm] and force [N] up to the break, same length; x does not fall.
    noise
        Standard deviation of one force reading.
    u_x
        Standard uncertainty of the position [mm] that does not grow with it.
    """
    start = rise_index(force, noise) if x.size else 0
    if reason := _too_little(x, start):
        return NotMeasured(reason)
    fitted = _fit_from(x, force, noise, u_x, start)
    if isinstance(fitted, NotMeasured):
        return fitted
    if start and _rise_unseen(fitted, x, force, start, noise):
        return NotMeasured(
            "the straight first part lies between two readings: read the force faster or pull slower"
        )
    if not fitted.bends_mm:
        return fitted
    toe = int(x.searchsorted(fitted.toe_mm))
    if toe - start < 3:
        return fitted
    again = _fit_from(x, force, noise, u_x, toe)
    return fitted if isinstance(again, NotMeasured) else again


def _too_little(x: FloatArray, start: int) -> str:
    """Why there are too few points from `start` on; empty where there are enough."""
    if x.size - start < WINDOW_POINTS:
        few = max(x.size - start, 0)
        return f"only {few} points rise to the highest force; at least {WINDOW_POINTS} are needed"
    return "" if x[-1] > x[start] else "the position stands still while the force rises"


def _rise_unseen(fitted: Elastic, x: FloatArray, force: FloatArray, start: int, noise: float) -> bool:
    """Whether the straight part lies between the last reading before the rise and the first after it."""
    above = fitted.first.line.at(float(x[start - 1])) - float(force[start - 1])
    return above > max(UNSEEN_RISE * float(force[start]), UNSEEN_SIGMAS * noise)


def rise_index(force: FloatArray, noise: float) -> int:
    """First sample from which on the force stays above the noise, up to its highest value.

    Where the noise is large against the strand's force, the mean over several samples is looked at.
    """
    peak = int(np.argmax(force))
    top = float(force[peak])
    wanted = (noise / (RISE_NOISE * top)) ** 2 if top > 0.0 else 0.0
    half = int(min(wanted, peak / RISE_PARTS) / 2.0)
    low_enough = max(RISE_SIGMAS * noise / np.sqrt(2.0 * half + 1.0), RISE_SHARE * top)
    low = np.flatnonzero(moving_mean(force[: peak + 1], half) <= low_enough)
    return int(low[-1]) + 1 if low.size else 0


def choose_bends(sums: Sums, noise: float) -> Bends | None:
    """Two bends, one or none: a further line only where it has the slope of a region and is worth it."""
    two, three = fit_two_lines(sums), fit_three_lines(sums)
    straight = sums.residual(0, sums.n)
    if three is not None and _is_yield(three) and _is_post_yield(three, sums, noise):
        base = straight if two is None else min(two.sse, straight)
        if base - three.sse > WORTH * max(three.sigma, noise) ** 2:
            return three
    if two is not None and _is_yield(two) and straight - two.sse > WORTH * max(two.sigma, noise) ** 2:
        return two
    return None


def _is_yield(bends: Bends) -> bool:
    return bends.lines[0].slope > 0.0 and bends.lines[1].slope < YIELD_SLOPE * bends.lines[0].slope


def _is_post_yield(bends: Bends, sums: Sums, noise: float) -> bool:
    middle, last = bends.lines[1], bends.lines[2]
    rise = (last.slope - middle.slope) * (float(sums.x[-1]) - bends.knots[1])
    steeper = last.slope > POST_YIELD_SLOPE * max(middle.slope, 0.0)
    return steeper and rise > max(POST_YIELD_RISE * float(sums.y.max()), POST_YIELD_SIGMAS * noise)


def _fit_from(x: FloatArray, force: FloatArray, noise: float, u_x: float, start: int) -> Elastic | NotMeasured:
    """Fit the parts of the curve from sample `start` on."""
    sums = Sums(x[start:], force[start:])
    bends = choose_bends(sums, noise)
    rough = bends.lines[0] if bends else sums.line(0, sums.n)
    if rough.slope <= 0.0:
        return NotMeasured("the force does not rise in a straight part at the start")
    end = bends.knots[0] if bends else float(sums.x[-1])
    low = float(sums.x[0])
    # Under tension from the first sample on, the curve begins higher up: its windows lie in what there is of it.
    zero = low if start == 0 else max(-rough.intercept / rough.slope, 2.0 * low - end)
    first = steepest_window(sums, zero, end, noise, u_x)
    if isinstance(first, NotMeasured):
        return first
    second, third = _later_parts(sums, bends, noise)
    toe = _toe_end(x, force, first, max(TOE_SIGMAS * noise, TOE_SHARE * first.line.at(end)))
    return Elastic(
        first=first,
        second=second,
        third=third,
        onset_mm=-first.line.intercept / first.line.slope,
        bends_mm=_bends(bends, first, second, third),
        toe_mm=float(x[toe]),
        toe_n=first.line.at(float(x[toe])),
    )


def _later_parts(sums: Sums, bends: Bends | None, noise: float) -> tuple[Straight | None, Straight | None]:
    """The yield and the post-yield line, from points well inside their regions."""
    if bends is None:
        return None, None
    ends = (*bends.knots, float(sums.x[-1]))
    second = straight_between(sums, ends[0], ends[1], YIELD_INNER, noise, bends.lines[1])
    third = straight_between(sums, ends[1], ends[2], POST_YIELD_INNER, noise, bends.lines[2]) if ends[2:] else None
    return second, third


def _bends(
    bends: Bends | None, first: Straight, second: Straight | None, third: Straight | None
) -> tuple[float, ...]:
    """Where the lines meet; the joined lines' own break point where that lies outside the two regions."""
    if bends is None or second is None:
        return ()
    met = [first.line.crossing(second.line)]
    if third is not None:
        met.append(second.line.crossing(third.line))
    low, high = first.from_mm, second.to_mm if third is None else third.to_mm
    ordered = all(a < b for a, b in zip([low, *met], [*met, high], strict=True))
    return tuple(met) if ordered else bends.knots


def _toe_end(x: FloatArray, force: FloatArray, first: Straight, near: float) -> int:
    """First sample from which on the curve keeps to the line; before it, a toe lies above the line's extension."""
    stop = max(int(x.searchsorted(first.to_mm)), 1)
    above = median_of_3(force[:stop]) - first.line.intercept - first.line.slope * x[:stop] > near
    off = np.flatnonzero(above)
    return min(int(off[-1]) + 1, stop - 1) if off.size else 0
