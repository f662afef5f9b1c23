"""From the shape of a pull to its measures: strains, forces, stresses, modulus, work.

Owns the formulas. One function computes every measure, with every input moved by a given deviation, so that the
result, its uncertainty (`uncertainty`), its budget and a Monte Carlo all come from the same lines. Works on numbers
and on arrays of trials alike.

Formulas (g gauge length, s onset, A cross-section, all after correction)
    strain    e = (x - s) / (g + s)                       extension beyond the slack over gauge length plus slack
    stress    F / A                                       engineering stress
    modulus   dF/dx (g + s) / A                           slope of the straight first part
    work      integral of F dx from the onset;            per volume: over A (g + s)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from analysis.pull.geometry import INDEX_STRAIN, Area, Geometry, Point

#: A number, or an array of trials in a Monte Carlo.
Number = Any

PERCENT = 100.0
#: 1 N per um2 is 1e6 MPa and 1e3 GPa; 1 N mm is 1000 uJ; 1 N mm per (um2 mm) is 1e6 MJ per m3.
MPA_PER_N_UM2 = 1e6
GPA_PER_N_UM2 = 1e3
UJ_PER_N_MM = 1e3


@dataclass(frozen=True, slots=True)
class Specimen:
    """What turns forces and extensions into stress and strain; None where it is not known."""

    gauge_mm: float | None
    area_um2: float | None


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far each input is off: [mm], [N], [1/N] for the curvature of the force scale, shares for the rest."""

    gauge_mm: Number = 0.0
    area: Number = 0.0
    linear_density: Number = 0.0
    extension_scale: Number = 0.0
    position_mm: Number = 0.0
    compliance_mm_per_n: Number = 0.0
    force_scale: Number = 0.0
    force_curvature: Number = 0.0
    zero_n: Number = 0.0
    #: Wander of the zero between start and break [N], which is nought at both and largest midway.
    wander_n: Number = 0.0
    onset_mm: Number = 0.0
    slope: Number = 0.0
    bend_mm: Number = 0.0
    bend_n: Number = 0.0
    second_bend_mm: Number = 0.0
    second_slope: Number = 0.0
    third_slope: Number = 0.0
    peak_n: Number = 0.0
    end_n: Number = 0.0
    end_mm: Number = 0.0
    lag_mm: Number = 0.0
    #: Noise of readings off the curve, in their own standard uncertainties.
    reading: Number = 0.0


NO_DEVIATION = Deviation()


def evaluate(shape: Geometry, specimen: Specimen, off: Deviation = NO_DEVIATION) -> dict[str, Number]:
    """Every measure that the shape and the specimen allow, by the name it has in a result."""
    out: dict[str, Number] = {
        "force_max_n": force_of(shape.peak, off) + off.peak_n,
        "force_at_break_n": force_of(shape.end, off) + off.end_n,
    }
    onset = onset_of(shape, off)
    if shape.to_end is not None:
        out["work_to_break_uj"] = work_of(shape.to_end, end_of(shape, off), off) * UJ_PER_N_MM
    area = None if specimen.area_um2 is None else specimen.area_um2 * (1.0 + off.area)
    if area is not None:
        out["stress_at_break_mpa"] = out["force_at_break_n"] / area * MPA_PER_N_UM2
        if shape.bend is not None:
            out["yield_stress_mpa"] = (force_of(shape.bend, off) + off.bend_n) / area * MPA_PER_N_UM2
    if specimen.gauge_mm is not None:
        length = specimen.gauge_mm + off.gauge_mm + onset
        out |= _strains(shape, off, onset, length)
        if area is not None:
            out |= _per_volume(shape, off, onset, length, area)
    return out


def _strains(shape: Geometry, off: Deviation, onset: Number, length: Number) -> dict[str, Number]:
    out = {"elongation_at_break_pct": PERCENT * (end_of(shape, off) - onset) / length}
    if shape.bend is not None:
        out["yield_strain_pct"] = PERCENT * (bend_of(shape.bend, off) - onset) / length
    if shape.second_bend is not None:
        second = place_of(shape.second_bend, off) + off.second_bend_mm
        out["post_yield_strain_pct"] = PERCENT * (second - onset) / length
    return out


def _per_volume(shape: Geometry, off: Deviation, onset: Number, length: Number, area: Number) -> dict[str, Number]:
    out: dict[str, Number] = {}
    if shape.slope is not None:
        slope = shape.slope * (1.0 + off.slope)
        out["initial_modulus_gpa"] = modulus_of(slope, shape.slope_n, off, length, area)
    if shape.to_20 is not None:
        work = work_of(shape.to_20, onset + INDEX_STRAIN * length, off)
        out["work_to_20pct_mj_m3"] = work / (area * length) * MPA_PER_N_UM2
    if shape.to_end is not None:
        work = work_of(shape.to_end, end_of(shape, off), off)
        out["work_to_break_mj_m3"] = work / (area * length) * MPA_PER_N_UM2
    return out


def modulus_of(slope: Number, n: float, off: Deviation, length: Number, area: Number) -> Number:
    """Modulus [GPa] of a slope [N/mm] of the curve at a force [N]."""
    gain = slope * (1.0 + off.force_scale + 2.0 * off.force_curvature * n)
    return gain / (1.0 + off.extension_scale - off.compliance_mm_per_n * gain) * length / area * GPA_PER_N_UM2


def force_of(point: Point, off: Deviation) -> Number:
    """The force [N] at a point as it would be with the inputs off."""
    n = point.n
    return (
        n * (1.0 + off.force_scale)
        + off.force_curvature * n * n
        - off.zero_n
        - wander_at(point.share) * off.wander_n
    )


def wander_at(share: float) -> float:
    """How much of a zero's wander is felt at a share of the pull.

    A zero that stepped by 1 at some unknown moment, and was corrected by a straight line from start to break, is
    off by the standard deviation sqrt(s (1 - s)) at the share s of the pull; one that drifted evenly is not off.
    """
    return math.sqrt(share * (1.0 - share))


def place_of(point: Point, off: Deviation) -> Number:
    """Where a point of the curve is: what is read off the force comes late by the lag."""
    return _moved(point, off) + off.position_mm - off.lag_mm


def bend_of(point: Point, off: Deviation) -> Number:
    """Where the first bend is: so near the onset that the stage's own error at both is that of the first line."""
    return _moved(point, off) - off.lag_mm + off.bend_mm


def end_of(shape: Geometry, off: Deviation) -> Number:
    """Where the strand broke: a fall begins at once, however late the amplifier is."""
    return _moved(shape.end, off) + off.position_mm + off.end_mm


def _moved(point: Point, off: Deviation) -> Number:
    return point.mm * (1.0 + off.extension_scale) - off.compliance_mm_per_n * point.n


def onset_of(shape: Geometry, off: Deviation) -> Number:
    """The onset moves with the zero along the line, and with the lag; the first sample stays where it is."""
    if not shape.onset_from_line or not shape.slope:
        return shape.onset_mm + off.onset_mm
    return shape.onset_mm * (1.0 + off.extension_scale) + off.zero_n / shape.slope - off.lag_mm + off.onset_mm


def work_of(area: Area, end_mm: Number, off: Deviation) -> Number:
    """Integral of the moved force over the moved extension, in N mm.

    The scales multiply, the zero takes its share off the whole way, the compliance takes off F dF, which
    integrates to half the square of the force at the end; then the end is moved along the force there.
    """
    zero = off.zero_n + wander_at(area.end.share / 2.0) * off.wander_n
    scaled = area.force * (1.0 + off.force_scale) + off.force_curvature * area.force2 - zero * area.way
    moved = scaled * (1.0 + off.extension_scale) - off.compliance_mm_per_n * area.end.n**2 / 2.0
    return moved + area.end.n * (end_mm - place_of(area.end, off))
