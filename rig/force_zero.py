"""The force zero of a pull: the mean of readings at rest, wild ones left out and counted. Pure."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

#: A zero from fewer readings is none.
FEWEST_READINGS = 8
#: A reading further from the median than this many standard deviations is a glitch.
GLITCH_SD = 8.0
#: A reading this close to the median is never a glitch, however quiet the rest is [count].
QUIET_COUNTS = 3.0
#: Standard deviation of a normal distribution over its median absolute deviation.
SD_PER_MAD = 1.4826


@dataclass(frozen=True, slots=True)
class ForceZero:
    """The zero [count], from how many readings, their standard deviation [count], and how many were left out."""

    counts: float
    n: int
    sd_counts: float
    left_out: int


def force_zero(readings: Sequence[int]) -> ForceZero:
    """The zero of readings taken at rest. Raises ValueError where there are too few."""
    if len(readings) < FEWEST_READINGS:
        raise ValueError(f"{len(readings)} readings, and {FEWEST_READINGS} are needed")
    middle = statistics.median(readings)
    mad = statistics.median(abs(r - middle) for r in readings)
    reach = max(GLITCH_SD * SD_PER_MAD * mad, QUIET_COUNTS)
    kept = [r for r in readings if abs(r - middle) <= reach]
    return ForceZero(statistics.fmean(kept), len(kept), statistics.stdev(kept), len(readings) - len(kept))
