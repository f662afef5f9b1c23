"""The finger test against the rig: bias and limits of agreement between guesses and measurements."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.errors import InputError
from analysis.series.intervals import Interval, student_t

#: Pairs below which no limits of agreement are given.
ENOUGH_PAIRS = 3
#: Standard deviations that hold 95 % of differences.
NORMAL_95 = 1.96


@dataclass(frozen=True, slots=True)
class Agreement:
    """Differences first - second: mean (bias), sd, limits of agreement, each with its 95 % interval."""

    n: int
    bias: float
    sd: float
    lower: float
    upper: float
    bias_interval: Interval
    lower_interval: Interval
    upper_interval: Interval


def limits_of_agreement(first: Sequence[float], second: Sequence[float]) -> Agreement:
    """Bias and limits of agreement of paired readings.

    Bland & Altman, Lancet 1986;i:307-310: limits bias +- 1.96 sd; se of a limit sqrt(3/n) sd. Raises
    ValueError for fewer than three pairs or groups of unequal length.
    """
    if len(first) != len(second):
        raise InputError("every guess needs its measurement: the two lists differ in length")
    n = len(first)
    if n < ENOUGH_PAIRS:
        raise InputError(
            f"{n} pairs are too few to say how well two methods agree; collect at least {ENOUGH_PAIRS}"
        )
    differences = [a - b for a, b in zip(first, second, strict=True)]
    bias, sd = statistics.fmean(differences), statistics.stdev(differences)
    t = student_t(0.975, n - 1)
    of_bias, of_limit = t * sd / math.sqrt(n), t * sd * math.sqrt(3 / n)
    lower, upper = bias - NORMAL_95 * sd, bias + NORMAL_95 * sd
    return Agreement(
        n,
        bias,
        sd,
        lower,
        upper,
        Interval(bias - of_bias, bias + of_bias),
        Interval(lower - of_limit, lower + of_limit),
        Interval(upper - of_limit, upper + of_limit),
    )


def repeat_sd(first: Sequence[float], second: Sequence[float]) -> float:
    """Within-subject sd of readings taken twice: sd of the differences over sqrt 2 would assume no bias;
    sqrt(sum d**2 / 2n) does too and keeps it in (Bland & Altman 1986)."""
    differences = [a - b for a, b in zip(first, second, strict=True)]
    return math.sqrt(sum(d * d for d in differences) / (2 * len(differences)))
