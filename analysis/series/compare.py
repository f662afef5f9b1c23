"""Two groups of strands against each other: how far apart, how sure, and when not to compare at all."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.series.censored import log_rank
from analysis.series.intervals import CONFIDENCE, Interval, student_t
from analysis.series.observation import Observation

FloatArray = NDArray[np.float64]

#: Values in each group below which no comparison is made.
ENOUGH_EACH = 3
#: Divisions into two groups up to which all are counted; beyond, that many are drawn.
MOST_DIVISIONS = 20_000


@dataclass(frozen=True, slots=True)
class GroupComparison:
    """`a` against `b`: difference of means with its interval, Hedges' g, shift, p and how p was found.

    Difference, interval and shift are in the unit of what was compared.

    Difference, g and shift are None where censoring forbids them; p then comes from the log-rank test.
    """

    a: str
    b: str
    difference: float | None
    interval: Interval | None
    hedges_g: float | None
    g_interval: Interval | None
    shift: float | None
    p: float
    test: str
    p_corrected: float | None = None


def welch_interval(a: Sequence[float], b: Sequence[float], confidence: float = CONFIDENCE) -> Interval:
    """Interval of mean(a) - mean(b) without assuming equal spread (Welch)."""
    va, vb = statistics.variance(a) / len(a), statistics.variance(b) / len(b)
    difference = statistics.fmean(a) - statistics.fmean(b)
    if va + vb == 0:
        return Interval(difference, difference, confidence)
    dof = (va + vb) ** 2 / (va**2 / (len(a) - 1) + vb**2 / (len(b) - 1))
    half = student_t((1 + confidence) / 2, dof) * math.sqrt(va + vb)
    return Interval(difference - half, difference + half, confidence)


def hedges_g(a: Sequence[float], b: Sequence[float]) -> tuple[float, Interval] | None:
    """Standardised difference with small-sample correction, and a normal 95 % interval.

    Hedges & Olkin (1985), formulas from memory. None where neither group scatters.
    """
    na, nb = len(a), len(b)
    dof = na + nb - 2
    pooled = math.sqrt(((na - 1) * statistics.variance(a) + (nb - 1) * statistics.variance(b)) / dof)
    if pooled == 0:
        return None
    g = (statistics.fmean(a) - statistics.fmean(b)) / pooled * (1 - 3 / (4 * dof - 1))
    se = math.sqrt((na + nb) / (na * nb) + g * g / (2 * (na + nb)))
    return g, Interval(g - 1.96 * se, g + 1.96 * se)


def hodges_lehmann(a: Sequence[float], b: Sequence[float]) -> float:
    """Median of all differences a - b: the shift between two groups."""
    return statistics.median(x - y for x in a for y in b)


def permutation_p(a: Sequence[float], b: Sequence[float], *, seed: int = 1) -> tuple[float, bool]:
    """Two-sided p of the difference of means by permutation, and whether all permutations were counted.

    The share of divisions whose difference is at least as large either way. Exact up to 20,000 divisions,
    else sampled by seed.
    """
    from scipy.stats import permutation_test

    def size_of_difference(x: FloatArray, y: FloatArray, axis: int) -> FloatArray:
        return np.asarray(np.abs(np.mean(x, axis=axis) - np.mean(y, axis=axis)), dtype=np.float64)

    divisions = math.comb(len(a) + len(b), len(a))
    found = permutation_test(
        (np.asarray(a), np.asarray(b)),
        size_of_difference,
        vectorized=True,
        alternative="greater",
        n_resamples=max(divisions, 1) if divisions <= MOST_DIVISIONS else MOST_DIVISIONS,
        rng=np.random.default_rng(seed),
    )
    return float(found.pvalue), divisions <= MOST_DIVISIONS


def compare(name_a: str, a: Sequence[Observation], name_b: str, b: Sequence[Observation]) -> GroupComparison | str:
    """Compare two groups, or say in a sentence why they can't be compared."""
    for name, group in ((name_a, a), (name_b, b)):
        if len(group) < ENOUGH_EACH:
            return f"{name} has {len(group)} strands that count; at least {ENOUGH_EACH} are needed to compare"
        if all(o.censored for o in group):
            return (
                f"no strand of {name} broke, so where it would have isn't known; pull further or mount more firmly"
            )
    if any(o.censored for o in (*a, *b)):
        found = log_rank(a, b)
        return GroupComparison(name_a, name_b, None, None, None, None, None, found.p, "log-rank")
    x, y = [o.value for o in a], [o.value for o in b]
    interval, g = welch_interval(x, y), hedges_g(x, y)
    p, exact = permutation_p(x, y)
    difference = statistics.fmean(x) - statistics.fmean(y)
    return GroupComparison(
        a=name_a,
        b=name_b,
        difference=difference,
        interval=interval,
        hedges_g=g[0] if g else None,
        g_interval=g[1] if g else None,
        shift=hodges_lehmann(x, y),
        p=p,
        test="exact permutation" if exact else "sampled permutation",
    )


def holm(p_values: Sequence[float]) -> tuple[float, ...]:
    """p corrected for several comparisons by Holm's step-down method, in the order given."""
    order = sorted(range(len(p_values)), key=lambda i: p_values[i])
    corrected, highest = [0.0] * len(p_values), 0.0
    for rank, i in enumerate(order):
        highest = max(highest, min(1.0, (len(p_values) - rank) * p_values[i]))
        corrected[i] = highest
    return tuple(corrected)
