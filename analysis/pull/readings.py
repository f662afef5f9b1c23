"""Readings off a curve at a place: force and slope from the points around it.

Owns the local lines. Must not know strains or stresses.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analysis.pull.sums import Sums

#: Points that a local line rests on at least, on each side of the place.
LEAST_BESIDE = 2
#: Points below which no chord construction is made, and the share of the height above the chord that the noise is
#: averaged down to.
LEAST_FOR_CHORD = 20
CHORD_NOISE = 0.002


@dataclass(frozen=True, slots=True)
class Reading:
    """Force [N] and slope [N/mm] of the curve at `mm`, with the standard uncertainties that noise leaves.

    `u_mm` is how sure the place itself is, where it was found on the curve and not given.
    """

    mm: float
    n: float
    slope: float
    u_n: float
    u_slope: float
    u_mm: float = 0.0


def read_at(sums: Sums, mm: float, half_mm: float, noise: float) -> Reading | None:
    """Read the curve at a place by the line through the points within `half_mm` of it; None beyond its ends."""
    if not sums.x[0] <= mm <= sums.x[-1]:
        return None
    half_mm *= 1.0 + 1e-9
    start, stop = sums.place(mm - half_mm), int(sums.x.searchsorted(mm + half_mm, side="right"))
    at = sums.place(mm)
    start = max(0, min(start, at - LEAST_BESIDE))
    stop = min(sums.n, max(stop, at + LEAST_BESIDE + 1))
    line = sums.line(start, stop)
    if line.n < 3 or line.sxx <= 0.0:
        return None
    sigma = max(math.sqrt(sums.residual(start, stop) / max(line.n - 2, 1)), noise)
    return Reading(
        mm, line.at(mm), line.slope, sigma * math.sqrt(line.variance_at(mm)), sigma / math.sqrt(line.sxx)
    )


def furthest_from_chord(sums: Sums, start_mm: float, end_mm: float, noise: float) -> Reading | None:
    """Where the tangent is parallel to the chord from zero force at `start_mm` to the curve at `end_mm`.

    That is where the curve stands highest above the chord. Averaged over as many points as the noise asks for; the
    place is as sure as the averaging is narrow and as noise leaves the highest point certain.
    """
    inside = (sums.x >= start_mm) & (sums.x <= end_mm)
    x, y = sums.x[inside], sums.y[inside]
    if x.size < LEAST_FOR_CHORD or x[-1] <= start_mm:
        return None
    chord = float(y[-1]) / (float(x[-1]) - start_mm)
    above = y - chord * (x - start_mm)
    half = min(math.ceil((noise / (CHORD_NOISE * max(float(np.ptp(above)), 1e-300))) ** 2 / 2.0), x.size // 50)
    width = 2 * half + 1
    above = np.convolve(above, np.full(width, 1.0 / width), mode="valid")
    best = int(np.argmax(above))
    if not 0 < best < above.size - 1:
        return None
    within = np.flatnonzero(above >= above[best] - 2.0 * noise / math.sqrt(width))
    spread = float(x[within[-1] + half] - x[within[0] + half]) / 2.0
    averaged = float(x[best + width - 1] - x[best]) / 2.0
    mean = float(np.mean(y[best : best + width]))
    u_mm = math.hypot(spread, averaged) / math.sqrt(3.0)
    return Reading(float(x[best + half]), mean, chord, noise / math.sqrt(width), 0.0, u_mm)
