"""The laboratory's further measures: moduli, yield constructions, indices at fixed strains, work factor, tenacity.

Owns their formulas, written as those in `measures`: every input may be moved by a deviation.

Formulas (strains e as fractions, stress s = F / A)
    chord modulus     (s(1.5 %) - s(0.5 %)) / 1 %
    secant modulus    s(2 %) / 2 %
    tangent modulus   ds/de at 1 %
    plateau modulus   slope of the yield line; post-yield modulus: slope of the post-yield line
    Meredith yield    where the tangent is parallel to the chord from the onset to the break
    Coplan yield      where the tangent of the first part meets that of the yield region; the stress is read on the
                      curve at that strain (the stress of the crossing itself is the result's own yield stress)
    work factor       work to break / (stress at break x elongation at break); 0.5 for a straight line
                      (Morton and Hearle, Physical Properties of Textile Fibres)
    tenacity          100 F / linear density [cN/tex]
"""

from __future__ import annotations

from analysis.pull.detail_shape import CHORD, INDEX_NAMES, SECANT, TANGENT, WORK_STRAIN, DetailShape
from analysis.pull.measures import (
    GPA_PER_N_UM2,
    MPA_PER_N_UM2,
    NO_DEVIATION,
    PERCENT,
    Deviation,
    Number,
    Specimen,
    bend_of,
    evaluate,
    force_of,
    modulus_of,
    onset_of,
    place_of,
    work_of,
)
from analysis.pull.readings import Reading

#: 1 N per tex is 100 cN per tex.
CN_PER_N = 100.0


def evaluate_details(
    shape: DetailShape, specimen: Specimen, tex: float | None, off: Deviation = NO_DEVIATION
) -> dict[str, Number]:
    """Every further measure that the shape and the specimen allow, by its name."""
    main = evaluate(shape.base, specimen, off)
    out: dict[str, Number] = {}
    if tex:
        out["tenacity_cn_per_tex"] = CN_PER_N * main["force_at_break_n"] / (tex * (1.0 + off.linear_density))
    if specimen.gauge_mm is None:
        return out
    onset = onset_of(shape.base, off)
    out["slack_mm"] = onset
    length = specimen.gauge_mm + off.gauge_mm + onset
    forces = {
        strain: _force_at(shape, reading, onset + strain * length, off) for strain, reading in shape.at.items()
    }
    out |= {f"force_at_{INDEX_NAMES[strain]}_n": forces[strain] for strain in INDEX_NAMES if strain in forces}
    out |= _constructions(shape, off, onset, length)
    if specimen.area_um2 is not None:
        area = specimen.area_um2 * (1.0 + off.area)
        out |= _stresses(shape, off, forces, length, area)
    if "work_to_break_mj_m3" in main:
        energy = main["stress_at_break_mpa"] * main["elongation_at_break_pct"] / PERCENT
        out["work_factor"] = main["work_to_break_mj_m3"] / energy
    return out


def _force_at(shape: DetailShape, reading: Reading, mm: Number, off: Deviation) -> Number:
    """Force at a place that moves with the gauge length and the onset, along the curve's local slope."""
    point = shape.base.point(reading.mm, reading.n)
    read = force_of(point, off) + off.reading * reading.u_n
    return read + reading.slope * (mm - place_of(point, off))


def _constructions(shape: DetailShape, off: Deviation, onset: Number, length: Number) -> dict[str, Number]:
    out: dict[str, Number] = {}
    if shape.meredith is not None:
        found = shape.meredith
        place = place_of(shape.base.point(found.mm, found.n), off) + off.reading * found.u_mm
        out["yield_meredith_strain_pct"] = PERCENT * (place - onset) / length
    if shape.base.bend is not None:
        out["yield_coplan_strain_pct"] = PERCENT * (bend_of(shape.base.bend, off) - onset) / length
    return out


def _stresses(
    shape: DetailShape, off: Deviation, forces: dict[float, Number], length: Number, area: Number
) -> dict[str, Number]:
    out: dict[str, Number] = {}
    for strain, name in INDEX_NAMES.items():
        if strain in forces:
            out[f"stress_at_{name}_mpa"] = forces[strain] / area * MPA_PER_N_UM2
    if shape.to_15 is not None:
        work = work_of(shape.to_15, onset_of(shape.base, off) + WORK_STRAIN * length, off)
        out["work_to_15pct_mj_m3"] = work / (area * length) * MPA_PER_N_UM2
    if CHORD[0] in forces and CHORD[1] in forces:
        rise = forces[CHORD[1]] - forces[CHORD[0]]
        out["chord_modulus_gpa"] = rise / area / (CHORD[1] - CHORD[0]) * GPA_PER_N_UM2
    if SECANT in forces:
        out["secant_modulus_gpa"] = forces[SECANT] / area / SECANT * GPA_PER_N_UM2
    if TANGENT in shape.at:
        reading = shape.at[TANGENT]
        steep = reading.slope + off.reading * reading.u_slope
        out["tangent_modulus_gpa"] = modulus_of(steep, reading.n, off, length, area)
    if shape.second_slope is not None and shape.base.bend is not None:
        steep = shape.second_slope + off.second_slope
        out["plateau_modulus_gpa"] = modulus_of(steep, shape.base.bend.n, off, length, area)
    if shape.third_slope is not None and shape.base.second_bend is not None:
        steep = shape.third_slope + off.third_slope
        out["post_yield_modulus_gpa"] = modulus_of(steep, shape.base.second_bend.n, off, length, area)
    for construction, found in (("meredith", shape.meredith), ("coplan", shape.coplan)):
        if found is not None:
            read = force_of(shape.base.point(found.mm, found.n), off) + off.reading * found.u_n
            out[f"yield_{construction}_stress_mpa"] = read / area * MPA_PER_N_UM2
    return out
