"""The checks a force calibration passes through: too little, two-sided, changed over, not straight, judged."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from analysis.metrology.findings import Finding, Severity
from analysis.metrology.force_limits import ForceErrors
from analysis.metrology.load_steps import LoadTable
from analysis.metrology.polynomial import PolynomialFit, fit_polynomial

#: Different weights below which no calibration is made: two can't show whether the scale is straight.
ENOUGH_WEIGHTS = 3
#: Different weights from which a bend can be told from a line.
ENOUGH_FOR_BEND = 4
#: Changing two weights over must cut the residual sum of squares by this factor to be believed.
CHANGED_OVER_FACTOR = 25.0
#: Residual sd of the line, in % of the largest force, beyond which a calibration is refused as not straight.
REFUSE_RESIDUAL_PCT = 1.0
#: A step at zero counts from this share of the largest load [%], and this many standard uncertainties.
STEP_PCT, STEP_T = 1.0, 4.0


def too_little(table: LoadTable) -> tuple[Finding, ...]:
    """Refuse what can't be judged."""
    if np.ptp(table.counts) == 0:
        sentence = (
            "every load gave the same reading; check that the load cell is connected and the weight hangs free"
        )
        return (Finding("no_response", Severity.REFUSE, sentence),)
    if table.distinct >= ENOUGH_WEIGHTS:
        return ()
    loads = f"{table.distinct} different weight{'' if table.distinct == 1 else 's'}"
    sentence = (
        f"{loads} can't show whether the scale is straight; hang at least {ENOUGH_WEIGHTS} different weights, "
        "spread over the range. What can be said: the load cell answers to load"
    )
    return (Finding("too_few_weights", Severity.REFUSE, sentence),)


def two_sided(table: LoadTable) -> tuple[Finding, ...]:
    """Refuse a scale that steps where the direction of load changes.

    Each side is fitted alone; the step is the difference of the two intercepts.
    """
    sides = [table.mass_g > 0, table.mass_g < 0]
    if not any(sides[1]):
        return ()
    if min(len(np.unique(table.mass_g[side])) for side in sides) < ENOUGH_WEIGHTS:
        sentence = "one direction of load has too few weights to be judged; calibrate in the pulling direction only"
        return (Finding("two_sided_few", Severity.REFUSE, sentence),)
    fits = [fit_polynomial(table.mass_g[side], table.counts[side], 1) for side in sides]
    step = float(fits[0].coefficients[0] - fits[1].coefficients[0])
    u_step = float(np.hypot(fits[0].u[0], fits[1].u[0]))
    counts_per_g = float(np.mean([fit.coefficients[1] for fit in fits]))
    step_g = step / counts_per_g
    if abs(step) < STEP_T * u_step or abs(step_g) < STEP_PCT / 100 * float(np.max(np.abs(table.mass_g))):
        return ()
    sentence = (
        f"the scale jumps by {abs(step_g):.3g} g where the direction of load changes: one line through both sides "
        "would be wrong on both; look for play in the mounting, then calibrate in the pulling direction only"
    )
    return (Finding("step_at_zero", Severity.REFUSE, sentence),)


def changed_over(table: LoadTable, line: PolynomialFit) -> tuple[Finding, ...]:
    """Refuse when two weights changed over explain the residuals far better than the masses as entered."""
    best, pair = line.residual_ss, (0.0, 0.0)
    for a, b in combinations(np.unique(table.mass_g[table.mass_g > 0]), 2):
        at_a, at_b = table.mass_g == a, table.mass_g == b
        force = table.force_n.copy()
        force[at_a], force[at_b] = table.force_n[at_b][0], table.force_n[at_a][0]
        ss = fit_polynomial(table.counts, force, 1).residual_ss
        if ss < best:
            best, pair = ss, (float(a), float(b))
    if line.residual_ss <= CHANGED_OVER_FACTOR * best or not pair[1]:
        return ()
    sentence = (
        f"{pair[0]:g} g and {pair[1]:g} g look changed over: with the two exchanged the points lie "
        f"{(line.residual_ss / max(best, 1e-300)) ** 0.5:.0f} times closer to a line; hang them again"
    )
    return (Finding("changed_over", Severity.REFUSE, sentence),)


def shape(table: LoadTable, line: PolynomialFit, chosen: PolynomialFit) -> tuple[Finding, ...]:
    """Say when a line would not do, and refuse when nothing smooth does."""
    left_pct = 100 * chosen.residual_sd / table.largest_force_n
    if left_pct > REFUSE_RESIDUAL_PCT:
        worst = int(np.argmax(np.abs(chosen.residuals)))
        sentence = (
            f"the readings don't lie on a line or a smooth curve (they scatter by {left_pct:.2g} % of the largest "
            f"force, the worst at {table.mass_g[worst]:g} g); check the mounting and the masses, and repeat"
        )
        return (Finding("not_straight", Severity.REFUSE, sentence),)
    if len(chosen.coefficients) > len(line.coefficients):
        bend = errors_as_used(table, line).error_pct
        sentence = f"a straight line would be off by up to {bend:.2g} %; a slightly bent one is used instead"
        return (Finding("bent", Severity.WARN, sentence),)
    return ()


def errors_as_used(table: LoadTable, fit: PolynomialFit) -> ForceErrors:
    """Worst relative error, repeatability, reversibility and return to zero [%], as a pull would see them."""
    indicated = sum(c * table.counts**k for k, c in enumerate(fit.coefficients) if k)
    loads = np.unique(table.mass_g[table.mass_g > 0])
    errors, spreads, reversals = [], [], []
    for load in loads:
        here = table.mass_g == load
        true = table.force_n[here][0]
        up, down = indicated[here & table.rising], indicated[here & ~table.rising]
        errors.append(100 * abs(float(np.mean(up if len(up) else down) - true)) / float(true))
        if len(up) > 1:
            spreads.append(100 * float(np.ptp(up) / true))
        if len(up) and len(down):
            reversals.append(100 * abs(float((np.mean(down) - np.mean(up)) / true)))
    zeros = indicated[table.mass_g == 0]
    back = 100 * float(np.max(np.abs(zeros))) / table.largest_force_n if len(zeros) > 1 else None
    return ForceErrors(max(errors), max(spreads, default=None), max(reversals, default=None), back)


def judged(table: LoadTable, errors: ForceErrors, class_name: str | None) -> tuple[Finding, ...]:
    """Say what the run did not show, and what it showed that is beyond every class."""
    found = []
    missing = [
        (errors.repeatability_pct, "not_repeated", "repeatability (load each weight at least twice)"),
        (errors.reversibility_pct, "not_reversed", "reversibility (take the weights off again one by one)"),
        (errors.zero_pct, "no_zero_return", "return to zero (read the empty hook again at the end)"),
    ]
    for value, code, what in missing:
        if value is None:
            found.append(Finding(code, Severity.NOTE, f"this run doesn't show {what}, so the class leaves it out"))
    if errors.reversibility_pct is None and not _in_rising_order(table):
        sentence = "the weights were not hung in rising order, so creep and reversibility can't be told apart"
        found.append(Finding("out_of_order", Severity.NOTE, sentence))
    if class_name is None:
        sentence = (
            f"the worst error is {errors.error_pct:.2g} %, beyond the widest class (3 %); use it for teaching only "
            "and look for friction, a weight that touches, or drift"
        )
        found.append(Finding("no_class", Severity.WARN, sentence))
    return tuple(found)


def _in_rising_order(table: LoadTable) -> bool:
    """Whether from each zero to the next the weights only got heavier."""
    change = np.diff(np.abs(table.mass_g))
    return bool(np.all((change >= 0) | (table.mass_g[1:] == 0)))
