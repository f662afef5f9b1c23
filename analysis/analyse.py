"""From a trace to the result of the pull: the one door that screens, commands and reports use.

Owns what is said of each quantity: its value, or the reason why there is none.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from analysis.details import detail_of, propagate_details
from analysis.guideline import Guideline
from analysis.results import QUANTITIES, Curve, Measured, NotMeasured, PullResult, Quantity, Region
from analysis.study import Options, Study, Unusable, study_pull
from analysis.trace import Trace
from analysis.verdict import judge

#: What a person can do about a pull that doesn't show its break.
_CENSORED = {
    "no_break": "the strand had not broken at {reached}: pull further",
    "stopped": "the pull was stopped before the strand broke, at {reached}: pull another strand",
    "slipped": "the strand slipped in a clamp after {reached}: clean or tighten the clamps and pull another strand",
    "clamp_break": "the strand broke at the clamp, at {reached}, where the clamp weakens it: pull another strand",
}
#: Quantities that only a break gives.
_NEEDS_BREAK = frozenset(
    {
        "elongation_at_break_pct",
        "force_at_break_n",
        "stress_at_break_mpa",
        "work_to_break_mj_m3",
        "work_to_break_uj",
    }
)
_NEEDS_GAUGE = frozenset(
    {
        "elongation_at_break_pct",
        "initial_modulus_gpa",
        "yield_strain_pct",
        "post_yield_strain_pct",
        "work_to_20pct_mj_m3",
        "work_to_break_mj_m3",
    }
)
_NEEDS_AREA = frozenset(
    {
        "stress_at_break_mpa",
        "initial_modulus_gpa",
        "yield_stress_mpa",
        "work_to_20pct_mj_m3",
        "work_to_break_mj_m3",
    }
)
#: Quantities that are found from the shape of the curve alone, whatever the scale of the force.
_NEEDS_NO_NEWTONS = frozenset({"elongation_at_break_pct", "yield_strain_pct", "post_yield_strain_pct"})
#: Quantities that a flat top spoils wherever on the curve it is.
_NEEDS_TOP = frozenset(
    {"force_max_n", "force_at_break_n", "stress_at_break_mpa", "work_to_break_mj_m3", "work_to_break_uj"}
)


def analyse(trace: Trace, guideline: Guideline, options: Options | None = None) -> PullResult:
    """Analyse one pull and hold it against a guideline.

    Parameters
    ----------
    trace
        The pull in physical units, as recorded or as another program's table gave it.
    guideline
        The lower limit for the elongation at break (`guideline.load_guideline`).
    options
        Corrections that may be switched off.
    """
    return conclude(study_pull(trace, options), guideline)


def conclude(study: Study | Unusable, guideline: Guideline) -> PullResult:
    """Say what a study shows, for whoever wants its details or budgets beside the result."""
    if isinstance(study, Unusable):
        return _unusable(study, guideline)
    trace = study.trace
    reached = study.measured.values.get("elongation_at_break_pct")
    quantities = {name: quantity_of(study, name) for name in QUANTITIES}
    dof = study.measured.dof("elongation_at_break_pct") if reached is not None else math.inf
    return PullResult(
        recording=trace.name,
        complete=trace.complete,
        simulated=trace.simulated,
        outcome=study.outcome,
        elongation_reached_pct=None if reached is None else reached.value,
        **_fields(quantities),
        verdict=judge(study.outcome, quantities["elongation_at_break_pct"], reached, guideline, dof),
        flags=study.flags,
        curve=_curve(study),
        regions=_regions(study),
        tenacity_cn_per_tex=_tenacity(study),
    )


def _tenacity(study: Study) -> Quantity | None:
    """The tenacity of a strand that was weighed."""
    specimen = study.trace.specimen
    if specimen is None or specimen.linear_density_tex is None:
        return None
    return detail_of(study, "tenacity_cn_per_tex", propagate_details(study))


def _unusable(why: Unusable, guideline: Guideline) -> PullResult:
    trace = why.trace
    quantities: dict[str, Quantity] = {name: NotMeasured(why.reason) for name in QUANTITIES}
    return PullResult(
        recording=trace.name,
        complete=trace.complete,
        simulated=trace.simulated,
        outcome="bad_test",
        elongation_reached_pct=None,
        **_fields(quantities),
        verdict=judge("bad_test", quantities["elongation_at_break_pct"], None, guideline),
        flags=why.flags,
    )


def _fields(quantities: dict[str, Quantity]) -> dict[str, Any]:
    """The quantities as keyword arguments of a result."""
    return dict(quantities)


def quantity_of(study: Study, name: str) -> Quantity:
    """A result by its name: the measured value, or the first reason against it."""
    reached = study.measured.values.get("elongation_at_break_pct")
    reason = _reason(study, name, reached)
    if reason:
        return NotMeasured(reason)
    return study.measured.values[name]


def _reason(study: Study, name: str, reached: Measured | None) -> str:
    """Why a quantity has no value; empty where it has one."""
    reason = _not_known(study, name)
    if reason:
        return reason
    if name in _NEEDS_BREAK and study.outcome != "broke":
        at = "the end of the data" if reached is None else f"{reached.value:.1f} %"
        return _CENSORED[study.outcome].format(reached=at)
    if name in _NEEDS_TOP and study.loading.saturated.any():
        return "the amplifier was at the end of its range (a flat top): lower its gain or use a larger force cell"
    return "" if name in study.measured.values else _why_not_found(study, name)


def _not_known(study: Study, name: str) -> str:
    """What a quantity needs that is not known; empty where nothing is missing."""
    if name not in _NEEDS_NO_NEWTONS and not study.loading.in_newtons:
        return "the force is in counts only: calibrate the force with weights"
    if (name in _NEEDS_GAUGE or name.startswith("work")) and not study.has_extension:
        return "there is no extension in the data: name the column that holds the position"
    if name in _NEEDS_GAUGE and study.specimen.gauge_mm is None:
        return "the gauge length is not known: give it with --gauge-length-mm"
    if name in _NEEDS_AREA and study.specimen.area_um2 is None:
        return "the cross-section is not known: give a diameter with --diameter-um"
    return ""


def _why_not_found(study: Study, name: str) -> str:
    """Why the curve does not show a quantity."""
    if name == "work_to_20pct_mj_m3":
        if study.known < study.curve.x.size:
            return "the amplifier reached the end of its range before 20 % strain"
        return "the strand was not stretched to 20 %"
    if isinstance(study.elastic, NotMeasured):
        return study.elastic.reason
    if name.startswith("post_yield"):
        return "the curve does not stiffen again before it ends: there is no post-yield region"
    if name.startswith("yield"):
        return "the curve does not bend before it ends: there is no yield region"
    return "the curve is too short to show it"


def _curve(study: Study) -> Curve | None:
    """The corrected curve from the onset on; None where strain or newtons can't be had."""
    gauge = study.specimen.gauge_mm
    if gauge is None or not study.loading.in_newtons:
        return None
    x = study.whole.x
    strain = 100.0 * (x - study.onset.mm) / (gauge + study.onset.mm)
    on = strain >= 0.0
    area = study.specimen.area_um2
    force = study.whole.force[on]
    stress = None if area is None else force / area * 1e6
    return Curve(strain[on], force, stress, study.loading.source[: x.size][on])


def _regions(study: Study) -> tuple[Region, ...]:
    """Elastic, yield and post-yield parts of the curve, as far as it shows them."""
    values = study.measured.values
    if "elongation_at_break_pct" not in values or isinstance(study.elastic, NotMeasured):
        return ()
    inner = [values[name].value for name in ("yield_strain_pct", "post_yield_strain_pct") if name in values]
    bounds = np.array([0.0, *inner, values["elongation_at_break_pct"].value])
    names = ("elastic", "yield", "post_yield")
    return tuple(
        Region(name, float(a), float(b)) for name, a, b in zip(names, bounds[:-1], bounds[1:], strict=False)
    )
