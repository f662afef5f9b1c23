"""Draws the strands of a simulated head: the scatter from strand to strand, the humidity, the slack.

The same seed gives the same strands in the same order. Knows no rig; what the strands are is in `catalogue`.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

from rig.simulated.catalogue import StrandKind, Treatment, kind_named, treatment_named
from rig.simulated.curve import KeratinCurve
from rig.simulated.settings import STANDARD_HUMIDITY_PCT, SimulationSettings
from rig.simulated.strand import StrandTruth

#: Scatter from strand to strand on one head, as relative standard deviations.
SCATTER_DIAMETER = 0.10
SCATTER_STRESS = 0.06
SCATTER_YIELD_STRAIN = 0.04
#: A draw further than this many standard deviations from the mean is taken as this far.
SCATTER_LIMIT = 2.5
#: Slack of a strand mounted by hand [mm], evenly spread.
SLACK_RANGE_MM = (0.1, 0.6)
#: Slack of a strand mounted under tension [mm]: half a percent of a 30 mm gauge length.
TENSION_SLACK_MM = -0.15
#: Relative change of stress and of strain at break for a percent of relative humidity.
STRESS_PER_HUMIDITY_PCT = -0.004
BREAK_STRAIN_PER_HUMIDITY_PCT = 0.002


def draw(settings: SimulationSettings, number: int) -> tuple[StrandTruth, ...]:
    """Strand `number` of a simulated head: the parts that stand side by side in the clamps, mostly one.

    Raises ValueError where the settings name no strand or no treatment of the catalogue.
    """
    kind = kind_named(settings.strand)
    treatment = treatment_named(settings.treatment)
    return tuple(
        replace(part, curve=_treated(part.curve, treatment)) for part in _untreated(kind, settings, number)
    )


def _untreated(kind: StrandKind, settings: SimulationSettings, number: int) -> tuple[StrandTruth, ...]:
    rng = Random(f"{settings.seed}/strand/{kind.name}/{number}")
    if kind.ideal:
        return (_ideal(kind, settings, number),)
    whole = len(set(kind.shares)) == 1
    first = _scattered(kind, settings, number, rng)
    parts = [first]
    for share in kind.shares[1:]:
        if whole:
            parts.append(_scattered(kind, settings, number, rng))
        else:
            later = (first.break_strain or 0.0) + kind.share_gap
            parts.append(replace(first, area_um2=first.area_um2 * share, break_strain=later))
    if not whole:
        parts[0] = replace(first, area_um2=first.area_um2 * kind.shares[0])
    return tuple(parts)


def _scattered(kind: StrandKind, settings: SimulationSettings, number: int, rng: Random) -> StrandTruth:
    """One strand, with the scatter of its kind and in the given humidity."""
    drier = 0.0 if kind.condition == "wet" else settings.humidity_pct - STANDARD_HUMIDITY_PCT
    diameter_um = kind.diameter_um * _spread(rng, SCATTER_DIAMETER)
    stress = _spread(rng, SCATTER_STRESS) * (1.0 + STRESS_PER_HUMIDITY_PCT * drier)
    yields = _spread(rng, SCATTER_YIELD_STRAIN)
    breaks = _spread(rng, kind.scatter_break) * (1.0 + BREAK_STRAIN_PER_HUMIDITY_PCT * drier)
    slack_mm = rng.uniform(*SLACK_RANGE_MM)
    return StrandTruth(
        kind=kind.name,
        number=number,
        condition=kind.condition,
        diameter_um=diameter_um,
        area_um2=math.pi / 4.0 * diameter_um**2,
        gauge_length_mm=settings.gauge_length_mm,
        slack_mm=_slack_mm(settings, slack_mm),
        curve=_scaled(kind.curve, stress, yields),
        break_strain=None if kind.break_strain is None else kind.break_strain * breaks,
        relaxed_share=kind.relaxed_share,
        relaxation_s=kind.relaxation_s,
        set_share=kind.set_share,
        slip_force_n=kind.slip_force_n,
    )


def _ideal(kind: StrandKind, settings: SimulationSettings, number: int) -> StrandTruth:
    """A wire or a spring: no scatter, no relaxation, no slack but the one asked for."""
    area_um2 = math.pi / 4.0 * kind.diameter_um**2
    curve = kind.curve
    if kind.spring_n_per_mm is not None:
        modulus = kind.spring_n_per_mm * settings.gauge_length_mm / (area_um2 * 1e-6)
        curve = KeratinCurve(modulus, 1e3, modulus, 2e3, modulus, foot_width=1e-5)
    return StrandTruth(
        kind=kind.name,
        number=number,
        condition=kind.condition,
        diameter_um=kind.diameter_um,
        area_um2=area_um2,
        gauge_length_mm=settings.gauge_length_mm,
        slack_mm=settings.slack_mm or 0.0,
        curve=curve,
        break_strain=None,
        relaxed_share=0.0,
        stiffer_per_decade=0.0,
        set_share=0.0,
    )


def _slack_mm(settings: SimulationSettings, drawn_mm: float) -> float:
    if settings.slack_mm is not None:
        return settings.slack_mm
    return TENSION_SLACK_MM if settings.has("zero-under-tension") else drawn_mm


def _scaled(curve: KeratinCurve, stress: float, yields: float) -> KeratinCurve:
    """A curve with all its stresses and its yield strain scaled; the modulus follows so that they fit."""
    return replace(
        curve,
        modulus_mpa=curve.modulus_mpa * stress / yields,
        yield_strain=curve.yield_strain * yields,
        yield_slope_mpa=curve.yield_slope_mpa * stress,
        post_yield_slope_mpa=curve.post_yield_slope_mpa * stress,
    )


def _treated(curve: KeratinCurve, treatment: Treatment) -> KeratinCurve:
    """The curve of the same strand after a treatment; its yield strain follows so that stress and modulus fit."""
    return replace(
        curve,
        modulus_mpa=curve.modulus_mpa * treatment.modulus,
        yield_strain=curve.yield_strain * treatment.yield_stress / treatment.modulus,
        yield_slope_mpa=curve.yield_slope_mpa * treatment.yield_stress,
        post_yield_slope_mpa=curve.post_yield_slope_mpa * treatment.post_yield,
    )


def _spread(rng: Random, relative: float) -> float:
    """A factor around 1 with a relative standard deviation."""
    return 1.0 + relative * min(max(rng.gauss(0.0, 1.0), -SCATTER_LIMIT), SCATTER_LIMIT)
