"""Numbers to text, with their unit and only the digits that the uncertainty allows.

The rounding is that of JCGM 100:2008 (GUM) 7.2.6: the uncertainty to two significant digits, the value to the
same place. Knows names and units of results, nothing of how they are found.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.results import Quantity

#: Significant digits of an uncertainty (GUM 7.2.6: "at most two").
DIGITS_OF_U = 2

#: Standard uncertainties in the half-width that stands behind a "±" (GUM 6.2.1: about 95 % where k = 2).
COVERAGE = 2.0

#: What a "±" means, for somebody who has never seen one.
ABOUT_MARGIN = "±: the true value lies within this of the value about 95 times in 100."

#: Significant digits of a value that carries no uncertainty.
DIGITS_WITHOUT_U = 4

#: Places behind the point at most; finer than this is below the last bit of what a rig measures.
MOST_DECIMALS = 9

#: What a name ends in, and the unit as it is printed. Longer endings first.
UNITS = (
    ("_mj_m3", "MJ/m³"),
    ("_uj_per_mm", "µJ/mm"),
    ("_mm_min", "mm/min"),
    ("_cn_per_tex", "cN/tex"),
    ("_tex", "tex"),
    ("_pct", "%"),
    ("_mpa", "MPa"),
    ("_gpa", "GPa"),
    ("_um2", "µm²"),
    ("_uj", "µJ"),
    ("_um", "µm"),
    ("_mm", "mm"),
    ("_hz", "Hz"),
    ("_n", "N"),
    ("_s", "s"),
)

#: Where a value is so large that a larger unit reads better: from which value on, factor, unit.
LARGER_UNITS = {"µJ": ((1e7, 1e-6, "J"), (1e4, 1e-3, "mJ"))}

#: The quantities of a result in words, in the trade's terms.
LABELS = {
    "elongation_at_break_pct": "elongation at break",
    "elongation_reached_pct": "elongation reached",
    "force_max_n": "greatest force",
    "force_at_break_n": "force at break",
    "stress_at_break_mpa": "stress at break",
    "tenacity_cn_per_tex": "tenacity at break",
    "initial_modulus_gpa": "initial modulus (stiffness)",
    "yield_strain_pct": "yield begins at",
    "yield_stress_mpa": "stress at yield",
    "post_yield_strain_pct": "post-yield begins at",
    "work_to_20pct_mj_m3": "work to 20 % stretch",
    "work_to_break_mj_m3": "work to break, per volume",
    "work_to_break_uj": "work to break",
    "strain_reached_pct": "stretched by",
    "force_reached_n": "force there",
    "force_after_hold_n": "force after the hold",
    "set_at_once_pct": "not come back at once (set)",
    "set_after_rest_pct": "not come back after the rest (set)",
    "recovery_at_once_pct": "came back at once",
    "recovery_after_rest_pct": "came back, the rest included",
    "recovery_delayed_pct": "came back during the rest",
    "work_done_uj": "work it took to stretch it",
    "work_given_back_uj": "work it gave back",
    "work_lost_pct": "work lost on the way (hysteresis)",
    "force_at_start_n": "force when the hold began",
    "force_at_end_n": "force when the hold ended",
    "force_lost_pct": "force lost in the hold",
    "half_time_s": "half-time of the loss",
    "time_constant_s": "time constant of the law",
    "exponent": "exponent of the law",
    "force_left_n": "force left in the end, by the law",
    "work_to_20pct_left_pct": "work to 20 % stretch that is left",
    "force_at_15pct_left_pct": "force at 15 % stretch that is left",
    "work_to_20pct_before_uj_per_mm": "work to 20 % stretch, before",
    "work_to_20pct_after_uj_per_mm": "work to 20 % stretch, after",
}

#: Kinds of pulls in words.
KINDS = {
    "pull_to_break": "pull to the break",
    "proof": "proof",
    "hold": "hold",
    "stretch_return": "stretch and return",
    "by_hand": "pull by hand",
}

#: Outcomes in words.
OUTCOMES = {
    "broke": "the strand broke",
    "slipped": "the strand slipped in a clamp",
    "clamp_break": "the strand broke at the clamp",
    "no_break": "the strand did not break",
    "stopped": "the pull was stopped before the strand broke",
    "bad_test": "this pull cannot be judged",
}


def unit_of(name: str) -> str:
    """The unit that a name ends in, as it is printed; "" where it ends in none."""
    return next((unit for ending, unit in UNITS if name.endswith(ending)), "")


def label_of(name: str) -> str:
    """A quantity's name in words; one that has no words of its own is its name without underscores."""
    return LABELS.get(name, name.replace("_", " "))


def decimals(u: float, digits: int = DIGITS_OF_U) -> int:
    """Places behind the point at which `u` has `digits` significant digits; negative for tens, hundreds …

    Rounding can carry (0.0996 becomes 0.10): the place is that of the rounded figure.
    """
    exponent = int(f"{abs(u):.{digits - 1}e}".split("e")[1])
    return min(digits - 1 - exponent, MOST_DECIMALS)


def fixed(value: float, places: int) -> str:
    """`value` rounded at `places` behind the point, never in powers of ten, and never as -0."""
    rounded = round(value, places) + 0.0
    return f"{rounded:.{max(places, 0)}f}"


def plain(value: float | None, unit: str = "", digits: int = DIGITS_WITHOUT_U) -> str:
    """A value that carries no uncertainty, with its unit: at most `digits` significant digits, no trailing zeros.

    "unknown" for None.
    """
    if value is None or not math.isfinite(value):
        return "unknown"
    text = fixed(value, decimals(value, digits)) if value else "0"
    return with_unit(text.rstrip("0").rstrip(".") if "." in text else text, unit)


def with_unit(number: str, unit: str) -> str:
    """A number and its unit with the space that ISO 80000-1 asks for, before the percent sign too."""
    return f"{number} {unit}" if unit else number


def value_and_u(value: float, u: float) -> tuple[str, str]:
    """A value and its uncertainty, rounded to the same place; "" for an uncertainty of zero."""
    if not (math.isfinite(u) and u > 0 and math.isfinite(value)):
        return plain(value), ""
    places = decimals(u)
    return fixed(value, places), fixed(u, places)


def quantity_cells(name: str, quantity: Quantity) -> tuple[str, str, str]:
    """Value with unit, expanded uncertainty (k = 2) with unit, and the reason where there is no value."""
    from analysis.results import NotMeasured

    if isinstance(quantity, NotMeasured):
        return "not measured", "", quantity.reason
    factor, unit = _readable(quantity.value, unit_of(name))
    value, margin = value_and_u(factor * quantity.value, factor * COVERAGE * quantity.u)
    return with_unit(value, unit), with_unit(margin, unit) if margin else "", ""


def _readable(value: float, unit: str) -> tuple[float, str]:
    """Factor and unit in which a value has not too many digits before the point."""
    larger = ((factor, name) for least, factor, name in LARGER_UNITS.get(unit, ()) if abs(value) >= least)
    return next(larger, (1.0, unit))


def quantity_text(name: str, quantity: Quantity) -> str:
    """A quantity in one line: "41.3 % ± 1.2 %", or why it was not measured."""
    value, margin, reason = quantity_cells(name, quantity)
    if reason:
        return f"{value}: {reason}"
    return f"{value} ± {margin}" if margin else value


def percent_chance(probability: float) -> str:
    """A probability as whole percent, never as a certainty: "more than 99 %", "less than 1 %"."""
    if probability > 0.99:
        return "more than 99 %"
    if probability < 0.01:
        return "less than 1 %"
    return f"{100 * probability:.0f} %"
