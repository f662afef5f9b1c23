"""Limits that a force calibration is judged by, and the class it reaches.

The four limits of each class are those of ISO 7500-1:2018 Table 2 as remembered, not read: look them up in
the standard before a class is quoted in a report.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ForceClass:
    """Largest errors of one class [%]: relative error, repeatability, reversibility, residual zero."""

    name: str
    error_pct: float
    repeatability_pct: float
    reversibility_pct: float
    zero_pct: float


#: ISO 7500-1:2018 Table 2, from memory.
CLASSES = (
    ForceClass("0.5", 0.5, 0.5, 0.75, 0.05),
    ForceClass("1", 1.0, 1.0, 1.5, 0.1),
    ForceClass("2", 2.0, 2.0, 3.0, 0.2),
    ForceClass("3", 3.0, 3.0, 4.5, 0.3),
)


@dataclass(frozen=True, slots=True)
class ForceErrors:
    """Errors found, each the worst of the run [%]; None where the data can't show it."""

    error_pct: float
    repeatability_pct: float | None
    reversibility_pct: float | None
    zero_pct: float | None


def class_reached(errors: ForceErrors) -> str | None:
    """The best class whose limits all the errors found keep to; None where even the widest is missed."""
    for limits in CLASSES:
        pairs = (
            (errors.error_pct, limits.error_pct),
            (errors.repeatability_pct, limits.repeatability_pct),
            (errors.reversibility_pct, limits.reversibility_pct),
            (errors.zero_pct, limits.zero_pct),
        )
        if all(found is None or found <= limit for found, limit in pairs):
            return limits.name
    return None
