"""Intervals and bounds from small samples: mean, proportion, tolerance bound, how many more strands."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.errors import InputError

#: Confidence of every interval unless another is asked for.
CONFIDENCE = 0.95
#: No more strands than this are ever asked for: beyond it the answer is "this width can't be had".
MOST_STRANDS = 1000


@dataclass(frozen=True, slots=True)
class Interval:
    """From `low` to `high`, in the unit of what it is about, at a confidence."""

    low: float
    high: float
    confidence: float = CONFIDENCE


def student_t(probability: float, dof: float) -> float:
    """Quantile of Student's t."""
    from scipy.special import stdtrit

    return float(stdtrit(dof, probability))


def mean_interval(mean: float, sd: float, n: int, confidence: float = CONFIDENCE) -> Interval:
    """Interval of a mean: mean +- t sd / sqrt(n). Raises InputError for fewer than two values."""
    if n < 2:
        raise InputError("one strand gives no interval; pull at least two")
    half = student_t((1 + confidence) / 2, n - 1) * sd / math.sqrt(n)
    return Interval(mean - half, mean + half, confidence)


def proportion_interval(hits: int, n: int, confidence: float = CONFIDENCE) -> Interval:
    """Wilson's score interval of a proportion (Newcombe, Statistics in Medicine 17 (1998) 857)."""
    from scipy.stats import binomtest

    found = binomtest(hits, n).proportion_ci(confidence, method="wilson")
    return Interval(float(found.low), float(found.high), confidence)


def tolerance_factor(n: int, share: float = 0.90, confidence: float = CONFIDENCE) -> float:
    """k such that mean - k sd lies below `share` of all strands with this confidence (one-sided, normal).

    Exact by the noncentral t: k = t'(confidence; n - 1, z_share sqrt n) / sqrt n
    (NIST/SEMATECH e-Handbook 7.2.6.3). Raises InputError for fewer than two values.
    """
    from scipy.stats import nct, norm

    if n < 2:
        raise InputError("one strand gives no tolerance bound; pull at least two")
    root = math.sqrt(n)
    return float(nct.ppf(confidence, n - 1, norm.ppf(share) * root)) / root


def strands_for_half_width(sd: float, half_width: float, confidence: float = CONFIDENCE) -> int | None:
    """Fewest strands whose mean has an interval of at most +- half_width; None where it can't be had."""
    if half_width <= 0:
        raise InputError("the wanted width must be greater than zero")
    for n in range(2, MOST_STRANDS + 1):
        if student_t((1 + confidence) / 2, n - 1) * sd / math.sqrt(n) <= half_width:
            return n
    return None


@dataclass(frozen=True, slots=True)
class Outlier:
    """The value furthest from the mean by Grubbs' test: its index, G and the critical G."""

    index: int
    g: float
    critical: float


def grubbs(values: list[float], alpha: float = 0.05) -> Outlier | None:
    """Grubbs' two-sided test for one outlier (NIST/SEMATECH e-Handbook 1.3.5.17.1); None where there is none.

    Fewer than three values, or all alike, have no outlier.
    """
    n = len(values)
    if n < 3:
        return None
    mean = sum(values) / n
    sd = math.sqrt(sum((v - mean) ** 2 for v in values) / (n - 1))
    if sd == 0:
        return None
    index = max(range(n), key=lambda i: abs(values[i] - mean))
    g = abs(values[index] - mean) / sd
    critical = grubbs_critical(n, alpha / 2)
    return Outlier(index, g, critical) if g > critical else None


def grubbs_critical(n: int, alpha_one_sided: float) -> float:
    """Critical value of Grubbs' G for a one-sided alpha."""
    t = student_t(1 - alpha_one_sided / n, n - 2)
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))
