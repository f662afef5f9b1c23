"""Uncertainty budgets: which input makes how much of a result's uncertainty, and what a person can do about it.

Owns the table and the interval with its coverage factor. The shares come from `pull.uncertainty`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.analyse import quantity_of
from analysis.details import detail_of, propagate_details
from analysis.pull.inputs import Input
from analysis.pull.uncertainty import Propagated
from analysis.results import QUANTITIES, Measured
from analysis.study import Study

#: Coverage of the interval that a budget states.
COVERAGE = 0.95
#: From so many degrees of freedom on, Student's t is the normal distribution.
MANY_DOF = 1e6


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One input: its signed share [unit of the result] of one standard uncertainty, and of the variance [%]."""

    name: str
    share: float
    variance_pct: float
    dof: float
    advice: str


@dataclass(frozen=True, slots=True)
class Budget:
    """A result, its inputs with the largest first, and the half-width of its 95 % interval.

    `dof` are effective degrees of freedom by Welch and Satterthwaite (JCGM 100:2008, G.4), `k` the factor that
    Student's t gives for them.
    """

    name: str
    result: Measured
    rows: tuple[BudgetRow, ...]
    dof: float
    k: float

    @property
    def half_width(self) -> float:
        """Half-width of the 95 % interval, in the unit of the result."""
        return self.k * self.result.u


def budget_of(study: Study, name: str) -> Budget | None:
    """The budget of a result or a further measure by its name; None where the pull has no such value."""
    if name in QUANTITIES:
        found, quantity = study.measured, quantity_of(study, name)
    else:
        found = propagate_details(study)
        quantity = detail_of(study, name, found)
    return _budget(name, found, study.inputs) if isinstance(quantity, Measured) else None


def _budget(name: str, found: Propagated, inputs: tuple[Input, ...]) -> Budget:
    known = {one.name: one for one in inputs}
    result, parts = found.values[name], found.parts[name]
    total = result.u**2
    rows = [
        BudgetRow(part, share, 100.0 * share**2 / total if total else 0.0, known[part].dof, known[part].advice)
        for part, share in parts.items()
    ]
    rows.sort(key=lambda row: -row.variance_pct)
    dof = found.dof(name)
    return Budget(name, result, tuple(rows), dof, coverage_factor(dof))


def coverage_factor(dof: float, coverage: float = COVERAGE) -> float:
    """Two-sided factor from Student's t with the degrees of freedom rounded down (JCGM 100:2008, G.4.1)."""
    from scipy.stats import norm, t

    upper = 0.5 + coverage / 2.0
    return float(norm.ppf(upper) if dof > MANY_DOF else t.ppf(upper, max(1, math.floor(dof))))
