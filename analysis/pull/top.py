"""The end of a curve and its highest place: forces read there as well as the noise allows.

Owns how the force at the end and the greatest force are read. Must not know what ended the pull.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analysis.pull.sums import Sums
from analysis.trace import FloatArray

#: The line at a place rests on at most so many points, at least so many, over at most this share of the curve.
MOST_POINTS = 15
LEAST_POINTS = 4
LINE_SHARE = 0.015
#: Points that scatter about the line by so many noise deviations are no line: the reading itself stands.
ROUGH_SIGMAS = 3.0


@dataclass(frozen=True, slots=True)
class Top:
    """Force at the end and greatest force [N] with the standard uncertainties that noise leaves.

    `slope` [N/mm] is that of the curve at its end; `peak_at_end` tells that both are one place.
    """

    end_n: float
    u_end_n: float
    slope: float
    peak_n: float
    u_peak_n: float
    peak_at_end: bool


def read_top(x: FloatArray, force: FloatArray, end_mm: float, noise: float, *, as_printed: bool) -> Top:
    """Read the end of the curve and its highest place.

    The highest of many noisy readings lies above the greatest force, so both are read from the line through the
    points around them; at the end it also leads on to where the strand broke. `as_printed` keeps the readings
    themselves: what another program printed is not smoothed.
    """
    peak = int(np.argmax(force))
    n = force.size
    count = min(MOST_POINTS, max(LEAST_POINTS, n - int(x.searchsorted(x[-1] - LINE_SHARE * (x[-1] - x[0])))), n)
    end = _line_read(x, force, n - count, n, end_mm, noise)
    if end is None:
        return Top(float(force[-1]), noise, 0.0, float(force[peak]), noise, peak == n - 1)
    end_n, u_end_n, slope = end
    at_end = peak >= n - count and slope >= 0.0
    if as_printed:
        return Top(float(force[-1]), noise, slope, float(force[peak]), noise, peak == n - 1)
    if at_end:
        return Top(end_n, u_end_n, slope, end_n, u_end_n, True)
    first = max(0, min(peak - count // 2, n - count))
    around = _line_read(x, force, first, first + count, float(x[peak]), noise)
    peak_n, u_peak_n = around[:2] if around else (float(force[peak]), noise)
    return Top(end_n, u_end_n, slope, max(peak_n, end_n), u_peak_n, False)


def _line_read(
    x: FloatArray, force: FloatArray, start: int, stop: int, mm: float, noise: float
) -> tuple[float, float, float] | None:
    """Height at `mm` with its uncertainty, and slope, of the line through some points; None where it is none."""
    if stop - start < LEAST_POINTS:
        return None
    sums = Sums(x[start:stop], force[start:stop])
    line = sums.line(0, sums.n)
    sigma = math.sqrt(sums.residual(0, sums.n) / (sums.n - 2))
    if line.sxx <= 0.0 or sigma > max(ROUGH_SIGMAS * noise, 1e-9 * abs(float(force[stop - 1]))):
        return None
    return line.at(mm), max(sigma, noise) * math.sqrt(line.variance_at(mm)), line.slope
