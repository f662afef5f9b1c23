"""What the laboratory's further measures are computed from: readings at named strains, slopes, constructions.

Owns which places of a curve are read. Must not know how uncertainties are combined.
"""

from __future__ import annotations

from dataclasses import dataclass

from analysis.pull.corrections import Corrected
from analysis.pull.elastic import Elastic
from analysis.pull.geometry import Area, Geometry, area_to
from analysis.pull.readings import Reading, furthest_from_chord, read_at
from analysis.pull.sums import Sums

#: Strains at which force is read: the laboratory's indices lie at 15 and 20 %, inside the yield region.
INDEX_NAMES = {0.15: "15pct", 0.20: "20pct"}
#: Strain up to which the second index of work is taken; that to 20 % is among the results.
WORK_STRAIN = 0.15
#: Ends of the chord modulus, place of the secant modulus, place of the tangent modulus (strains).
CHORD = (0.005, 0.015)
SECANT = 0.02
TANGENT = 0.01
#: Half-widths of the stretch that is read: of an index, of a place inside the elastic part (strains).
INDEX_HALF = 0.0025
ELASTIC_HALF = 0.001


@dataclass(frozen=True, slots=True)
class DetailShape:
    """Readings of one pull beyond its `Geometry`; strains are fractions."""

    base: Geometry
    at: dict[float, Reading]
    to_15: Area | None
    second_slope: float | None
    third_slope: float | None
    meredith: Reading | None
    coplan: Reading | None


def build_detail_shape(
    base: Geometry, curve: Corrected, elastic: Elastic | None, gauge_mm: float | None, known: int, noise: float
) -> DetailShape:
    """Read the curve where the further measures need it; a place that it does not reach is left out."""
    if known == 0:
        return DetailShape(base, {}, None, None, None, None, None)
    sums = Sums(curve.x[:known], curve.force[:known])
    length = None if gauge_mm is None else gauge_mm + base.onset_mm
    at: dict[float, Reading] = {}
    if length is not None:
        for strains, half in ((tuple(INDEX_NAMES), INDEX_HALF), ((*CHORD, SECANT, TANGENT), ELASTIC_HALF)):
            for strain in strains:
                found = read_at(sums, base.onset_mm + strain * length, half * length, noise)
                if found is not None:
                    at[strain] = found
    whole = known == curve.x.size
    meredith = furthest_from_chord(sums, base.onset_mm, float(curve.x[-1]), noise) if whole else None
    coplan = read_at(sums, base.bend.mm, ELASTIC_HALF * (length or 0.0), noise) if base.bend else None
    to_15 = WORK_STRAIN in at and length is not None
    return DetailShape(
        base=base,
        at=at,
        to_15=area_to(sums.x, sums.y, base.onset_mm, at[WORK_STRAIN].mm, curve.end_mm) if to_15 else None,
        second_slope=elastic.second.line.slope if elastic and elastic.second else None,
        third_slope=elastic.third.line.slope if elastic and elastic.third else None,
        meredith=meredith,
        coplan=coplan,
    )
