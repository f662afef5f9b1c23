"""Newtons from counts: a calibration with weights, fitted, judged and accepted or refused.

The steps of a run are taken with the rig at rest: zero, then known weights up and down again. What is fitted
is force against counts from the run's own zero, since every pull takes a zero of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.metrology import force_checks as checks
from analysis.metrology.findings import Finding, refused
from analysis.metrology.force_limits import ForceErrors, class_reached
from analysis.metrology.gravity import Gravity
from analysis.metrology.load_steps import LoadStep, LoadTable, load_table
from analysis.metrology.polynomial import PolynomialFit, fit_polynomial
from analysis.metrology.weights import Weight
from recordings.format import ForceCalibration

#: A quadratic is used when its own term is this many standard uncertainties from zero, and it matters.
QUADRATIC_T = 4.0
#: A bend matters when the line is off by more than this somewhere [%], and the quadratic by less than half
#: of what the line is: class 0.5's limit.
BEND_PCT = 0.5


@dataclass(frozen=True, slots=True)
class ForceReport:
    """A judged force calibration; `calibration` is None where it was refused."""

    calibration: ForceCalibration | None
    table: LoadTable
    line: PolynomialFit | None
    quadratic: PolynomialFit | None
    errors: ForceErrors | None
    class_name: str | None
    findings: tuple[Finding, ...]

    @property
    def accepted(self) -> bool:
        """Whether there is a calibration to use."""
        return self.calibration is not None


def calibrate_force(
    steps: Sequence[LoadStep], weights: dict[float, Weight], gravity: Gravity, *, date: str = "", person: str = ""
) -> ForceReport:
    """Fit and judge a run of load steps.

    Method: 1. counts from the run's zero, force from conventional mass (see `weights`); 2. refuse what is too
    little, two-sided with a step at zero, or better explained by two weights changed over; 3. fit a line and,
    where enough points allow, a quadratic, and take the quadratic only if its term is significant and the line
    is off by more than BEND_PCT; 4. relative error, repeatability, reversibility and return to zero as used,
    that is with the zero taken and no intercept; 5. the class reached. Nothing is silently left out.
    """
    table = load_table(steps, weights, gravity)
    findings = checks.too_little(table)
    if refused(findings):
        return ForceReport(None, table, None, None, None, None, findings)
    line = fit_polynomial(table.counts, table.force_n, 1)
    findings += checks.two_sided(table) + checks.changed_over(table, line)
    if refused(findings):
        return ForceReport(None, table, line, None, None, None, findings)
    quadratic = fit_polynomial(table.counts, table.force_n, 2) if table.distinct >= checks.ENOUGH_FOR_BEND else None
    chosen = quadratic if quadratic is not None and _is_bent(table, line, quadratic) else line
    errors = checks.errors_as_used(table, chosen)
    class_name = class_reached(errors)
    findings += checks.shape(table, line, chosen) + checks.judged(table, errors, class_name)
    calibration = None if refused(findings) else _calibration(table, chosen, gravity, date, person)
    return ForceReport(calibration, table, line, quadratic, errors, class_name, findings)


def _is_bent(table: LoadTable, line: PolynomialFit, quadratic: PolynomialFit) -> bool:
    significant = abs(quadratic.coefficients[2]) > QUADRATIC_T * quadratic.u[2]
    of_line = checks.errors_as_used(table, line).error_pct
    of_quadratic = checks.errors_as_used(table, quadratic).error_pct
    return bool(significant and of_line > BEND_PCT and of_quadratic < of_line / 2)


def _calibration(
    table: LoadTable, fit: PolynomialFit, gravity: Gravity, date: str, person: str
) -> ForceCalibration:
    bent = len(fit.coefficients) > 2
    return ForceCalibration(
        n_per_count=float(fit.coefficients[1]),
        u_n_per_count=float(fit.u[1]),
        n_per_count2=float(fit.coefficients[2]) if bent else 0.0,
        u_n_per_count2=float(fit.u[2]) if bent else 0.0,
        cov=float(fit.covariance[1, 2]) if bent else 0.0,
        u_rel=math.hypot(table.u_rel_weights, gravity.u_m_s2 / gravity.value_m_s2),
        kind="weights",
        date=date,
        person=person,
    )
