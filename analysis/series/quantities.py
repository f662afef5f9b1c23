"""Groups compared on every quantity that separates them: elongation alone shows only gross damage.

Lightened hair may stretch further before it breaks, so stress, yield and work to 20 % stand beside the
elongation, against a control from the same head.
"""

from __future__ import annotations

import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from analysis.results import Measured, NotMeasured, PullResult, Quantity
from analysis.series.compare import GroupComparison, compare, holm
from analysis.series.observation import Observation, observe

#: What groups are compared on, in the order of a report; elongation first, since the guideline is about it.
COMPARED = (
    "elongation_at_break_pct",
    "stress_at_break_mpa",
    "yield_stress_mpa",
    "work_to_20pct_mj_m3",
    "initial_modulus_gpa",
    "force_max_n",
)


@dataclass(frozen=True, slots=True)
class QuantityComparison:
    """One quantity of two groups: the comparison and the ratio of the means, or why there is none."""

    quantity: str
    a: str
    b: str
    found: GroupComparison | NotMeasured
    #: Mean of a over mean of b; with its standard uncertainty from the scatter of both.
    ratio: Quantity


def values_of(results: Sequence[PullResult], quantity: str) -> tuple[Observation, ...]:
    """The observations of a quantity in a group; elongation keeps its censored strands."""
    if quantity == "elongation_at_break_pct":
        return observe(results)[0]
    measured = [(r.recording, getattr(r, quantity)) for r in results if r.outcome != "bad_test"]
    return tuple(Observation(n, q.value, q.u, censored=False) for n, q in measured if isinstance(q, Measured))


def compare_groups(
    groups: Mapping[str, Sequence[PullResult]], pairs: Sequence[tuple[str, str]] | None = None
) -> tuple[QuantityComparison, ...]:
    """Compare pairs of groups (every pair, unless some are named) on every quantity, pair by pair.

    p is corrected by Holm over the pairs of one quantity: several pairs are several chances to find a difference
    by luck, while the quantities of one pair all ask about the same strands.
    """
    pairs = list(combinations(groups, 2)) if pairs is None else pairs
    made = {q: _corrected([_one(q, a, groups[a], b, groups[b]) for a, b in pairs]) for q in COMPARED}
    return tuple(made[quantity][i] for i in range(len(pairs)) for quantity in COMPARED)


def _corrected(comparisons: Sequence[QuantityComparison]) -> list[QuantityComparison]:
    tested = [c.found for c in comparisons if isinstance(c.found, GroupComparison)]
    corrected = iter(holm([found.p for found in tested]))
    return [
        replace(c, found=replace(c.found, p_corrected=next(corrected)))
        if isinstance(c.found, GroupComparison)
        else c
        for c in comparisons
    ]


def _one(
    quantity: str, a: str, of_a: Sequence[PullResult], b: str, of_b: Sequence[PullResult]
) -> QuantityComparison:
    x, y = values_of(of_a, quantity), values_of(of_b, quantity)
    found = compare(a, x, b, y)
    return QuantityComparison(quantity, a, b, NotMeasured(found) if isinstance(found, str) else found, _ratio(x, y))


def _ratio(x: Sequence[Observation], y: Sequence[Observation]) -> Quantity:
    if any(o.censored for o in (*x, *y)):
        return NotMeasured("strands that did not break have no mean to take a ratio of")
    if len(x) < 2 or len(y) < 2:
        return NotMeasured("a ratio needs at least two measured strands in each group")
    (mean_x, u_x), (mean_y, u_y) = _mean(x), _mean(y)
    if mean_y == 0:
        return NotMeasured("the mean of the second group is zero")
    ratio = mean_x / mean_y
    relative = ((u_x / mean_x) ** 2 if mean_x else 0.0) + (u_y / mean_y) ** 2
    return Measured(ratio, abs(ratio) * relative**0.5)


def _mean(observations: Sequence[Observation]) -> tuple[float, float]:

    values = [o.value for o in observations]
    return statistics.fmean(values), statistics.stdev(values) / len(values) ** 0.5
