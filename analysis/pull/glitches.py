"""Readings that stand alone: one or two far from their neighbours, and gone again.

Owns the noise of a channel and what is far from it. Must not know what a break is, except that one stays down.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analysis.pull.spans import runs
from analysis.trace import FloatArray

BoolArray = NDArray[np.bool_]

#: A reading stands alone when it is this many noise deviations and this share of the span from both neighbours.
GLITCH_SIGMAS = 12.0
GLITCH_SHARE = 0.05
#: Two readings together stand alone when they are this share of the span from both neighbours.
PAIR_SHARE = 1.3
#: So many readings at either end are set aside before the span of the others is taken.
SET_ASIDE = 12
#: Readings on either side that must be ordinary for one at the end of the range to stand alone.
AROUND = 10


def white_noise(y: FloatArray) -> float:
    """Standard deviation of one reading, from second differences (they take out any smooth curve).

    The median of |second differences| over 0.6745 is their deviation whatever breaks and slips are in the data;
    each holds sqrt(6) deviations of one reading.
    """
    if y.size < 5:
        return 0.0
    return float(np.median(np.abs(np.diff(y, 2))) / (0.6745 * np.sqrt(6.0)))


def lone_readings(y: FloatArray) -> BoolArray:
    """Single readings, or two together, far outside both neighbours and gone again.

    A single one must come back to where it came from, or stand out by more than half of all there is: so a break
    (which does not come back) and a short rebound after it are none. Two together must stand out by more than all
    there is.
    """
    lone = np.zeros(y.size, dtype=bool)
    if y.size < 5:
        return lone
    aside = max(2, min(SET_ASIDE, y.size // 50))
    ordered = np.partition(y, (aside, y.size - 1 - aside))
    low, span = float(ordered[aside]), float(ordered[-1 - aside] - ordered[aside])
    far = max(GLITCH_SIGMAS * white_noise(y), GLITCH_SHARE * span)
    step = np.diff(y)
    dev = np.maximum(np.minimum(step[:-1], -step[1:]), np.minimum(-step[:-1], step[1:]))
    back = np.abs(y[2:] - y[:-2])
    lone[1:-1] = (dev > far) & ((back < 0.5 * dev) | (dev > 0.5 * span))
    up = np.minimum(y[1:-2], y[2:-1]) - np.maximum(y[:-3], y[3:])
    down = np.minimum(y[:-3], y[3:]) - np.maximum(y[1:-2], y[2:-1])
    pairs = np.flatnonzero(np.maximum(up, down) > max(PAIR_SHARE * span, far))
    lone[pairs + 1] = lone[pairs + 2] = True
    below = low - max(0.25 * span, far)
    lone[0] = min(y[0] - y[1], y[0] - y[2]) > far or y[0] < below
    lone[-1] = y[-1] - y[-2] > max(0.5 * span, far) or y[-1] < below
    return lone


def lone_range_ends(at_end: BoolArray) -> BoolArray:
    """Up to two readings at the end of the range with ordinary ones around them."""
    lone = np.zeros(at_end.size, dtype=bool)
    if not at_end.any():
        return lone
    for start, stop in runs(at_end):
        around = at_end[max(0, start - AROUND) : stop + AROUND].sum() - (stop - start)
        if stop - start <= 2 and around == 0:
            lone[start:stop] = True
    return lone
