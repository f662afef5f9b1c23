"""The laboratory's further measures of one pull, each with its uncertainty and its definition in a sentence.

Owns which there are and why one may be missing. The results of the contract are in `results`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from analysis.pull.detail_measures import evaluate_details
from analysis.pull.detail_shape import build_detail_shape
from analysis.pull.elastic import Elastic
from analysis.pull.measures import Deviation
from analysis.pull.uncertainty import Propagated, propagate
from analysis.results import NotMeasured, Quantity
from analysis.study import Study

#: Name, definition, and what a curve must show for it.
DEFINITIONS: dict[str, tuple[str, str]] = {
    "slack_mm": ("extension before the force began", "a position and a gauge length are needed"),
    "force_at_15pct_n": ("force at 15 % strain", "the strand was not stretched to 15 %"),
    "force_at_20pct_n": ("force at 20 % strain", "the strand was not stretched to 20 %"),
    "stress_at_15pct_mpa": ("stress at 15 % strain", "15 % strain and a cross-section are needed"),
    "stress_at_20pct_mpa": ("stress at 20 % strain", "20 % strain and a cross-section are needed"),
    "work_to_15pct_mj_m3": ("work per volume to 15 % strain", "15 % strain and a cross-section are needed"),
    "chord_modulus_gpa": (
        "slope of the chord from 0.5 to 1.5 % strain",
        "1.5 % strain and a cross-section are needed",
    ),
    "secant_modulus_gpa": ("stress over strain at 2 % strain", "2 % strain and a cross-section are needed"),
    "tangent_modulus_gpa": ("slope at 1 % strain", "1 % strain and a cross-section are needed"),
    "plateau_modulus_gpa": (
        "slope of the yield region",
        "the curve shows no yield region, or no cross-section is known",
    ),
    "post_yield_modulus_gpa": (
        "slope of the post-yield region",
        "the curve shows no post-yield region, or no cross-section is known",
    ),
    "yield_meredith_strain_pct": (
        "yield by Meredith: strain where the tangent is parallel to the chord from the onset to the break",
        "the curve shows no such place",
    ),
    "yield_meredith_stress_mpa": ("stress on the curve at Meredith's yield", "no such place, or no cross-section"),
    "yield_coplan_strain_pct": (
        "yield by Coplan: strain where the tangents of the first part and of the yield region meet",
        "the curve shows no yield region",
    ),
    "yield_coplan_stress_mpa": (
        "stress read on the curve at Coplan's yield (the crossing's own stress is yield_stress_mpa)",
        "the curve shows no yield region, or no cross-section is known",
    ),
    "work_factor": (
        "work to break over stress times elongation at break; 0.5 for a straight line",
        "it takes a break",
    ),
    "tenacity_cn_per_tex": ("force at break over linear density", "the linear density is not known"),
}
#: Measures that only a break gives.
_NEEDS_BREAK = frozenset(
    {"yield_meredith_strain_pct", "yield_meredith_stress_mpa", "work_factor", "tenacity_cn_per_tex"}
)
#: Measures that need no newtons.
_NEEDS_NO_NEWTONS = frozenset({"slack_mm", "yield_meredith_strain_pct", "yield_coplan_strain_pct"})


@dataclass(frozen=True, slots=True)
class Detail:
    """A further measure: its name with the unit, what it is, and its value or why there is none."""

    name: str
    definition: str
    quantity: Quantity


def details_of(study: Study) -> tuple[Detail, ...]:
    """Every further measure of a pull, in the order of `DEFINITIONS`."""
    found = propagate_details(study)
    return tuple(
        Detail(name, definition, detail_of(study, name, found)) for name, (definition, _) in DEFINITIONS.items()
    )


def detail_of(study: Study, name: str, found: Propagated) -> Quantity:
    """A further measure by its name: its value, or the first reason against it."""
    _, needs = DEFINITIONS.get(name, ("", f"there is no measure called {name}"))
    reason = _reason(study, name)
    return NotMeasured(reason or needs) if reason or name not in found.values else found.values[name]


def propagate_details(study: Study) -> Propagated:
    """The further measures with every input carried to them."""
    return propagate(detail_formulas(study), study.inputs)


def detail_formulas(study: Study) -> Callable[[Deviation], dict[str, Any]]:
    """The further measures of a pull as a function of how far its inputs are off."""
    straight = study.elastic if isinstance(study.elastic, Elastic) else None
    shape = build_detail_shape(
        study.shape, study.curve, straight, study.specimen.gauge_mm, study.known, study.loading.noise
    )
    given = study.trace.specimen
    tex = given.linear_density_tex if given is not None else None
    return partial(evaluate_details, shape, study.specimen, tex)


def details_json(details: tuple[Detail, ...]) -> dict[str, Any]:
    """As `--json` prints them beside the results, where they are asked for."""
    return {detail.name: detail.quantity.to_json() for detail in details}


def _reason(study: Study, name: str) -> str:
    if name in _NEEDS_BREAK and study.outcome != "broke":
        return "the strand did not break in its free length"
    if name not in _NEEDS_NO_NEWTONS and not study.loading.in_newtons:
        return "the force is in counts only: calibrate the force with weights"
    return ""
