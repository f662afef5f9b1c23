"""The shape of one pull in a few numbers: points, lines and areas in the plane of extension [mm] and force [N].

Owns what the measures are computed from. Everything here is still before gauge length and cross-section, so that
each input's effect on each result can be followed by moving these few points (`measures`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.pull.corrections import Corrected
from analysis.pull.elastic import Elastic
from analysis.pull.slack import Onset
from analysis.trace import FloatArray

#: Strain up to which the laboratory's index of work is taken: a fixed place inside the yield region.
INDEX_STRAIN = 0.2


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the curve; `share` is how far into the pull it lies, from 0 to 1."""

    mm: float
    n: float
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Area:
    """Integrals over extension from the onset to `end`: of force [N mm], of its square [N2 mm]; the way [mm]."""

    end: Point
    force: float
    force2: float
    way: float


@dataclass(frozen=True, slots=True)
class Geometry:
    """The points and lines of one pull.

    `onset_from_line` tells whether the onset was found by the line (and so moves with it) or is the first sample.
    `slope` [N/mm] at `slope_n` [N] belongs to the straight part. `to_20` needs a gauge length.
    """

    onset_mm: float
    onset_from_line: bool
    end: Point
    peak: Point
    slope: float | None = None
    slope_n: float = 0.0
    bend: Point | None = None
    second_bend: Point | None = None
    to_end: Area | None = None
    to_20: Area | None = None

    def point(self, mm: float, n: float) -> Point:
        """A place on this curve."""
        return _point(mm, n, self.end.mm)


def _point(mm: float, n: float, end_mm: float) -> Point:
    return Point(mm, n, min(max(mm / end_mm, 0.0), 1.0) if end_mm > 0.0 else 1.0)


def area_to(x: FloatArray, force: FloatArray, onset_mm: float, end_mm: float, last_mm: float) -> Area:
    """Integrate from the onset to `end_mm` by trapezoids, both ends interpolated; the pull ended at `last_mm`.

    Before the first sample (an onset found by extending the line backwards) the force rises from zero in a
    straight line.
    """
    end_n = float(np.interp(end_mm, x, force))
    inside = (x > onset_mm) & (x < end_mm)
    first_n = float(np.interp(onset_mm, x, force)) if onset_mm >= x[0] else 0.0
    xs = np.concatenate(([onset_mm], x[inside], [end_mm]))
    ys = np.concatenate(([first_n], force[inside], [end_n]))
    dx = np.diff(xs)
    a, b = ys[:-1], ys[1:]
    return Area(
        _point(end_mm, end_n, last_mm),
        float(np.sum(dx * (a + b)) / 2.0),
        float(np.sum(dx * (a * a + a * b + b * b)) / 3.0),
        end_mm - onset_mm,
    )


def _bends(elastic: Elastic, end_mm: float) -> list[Point]:
    """Where the lines meet, at the height of the line before each."""
    lines = [part.line for part in (elastic.first, elastic.second) if part is not None]
    return [_point(mm, line.at(mm), end_mm) for mm, line in zip(elastic.bends_mm, lines, strict=False)]


def build_geometry(
    curve: Corrected, whole: Corrected, onset: Onset, elastic: Elastic | None, gauge_mm: float | None, known: int
) -> Geometry:
    """Collect the points of a curve up to its end.

    Parameters
    ----------
    whole
        The curve with what came after its end, where a slip ended it: the greatest force may lie there.
    gauge_mm
        Gauge length [mm], for the place of 20 % strain; None where it is not known.
    known
        Samples from the start on whose forces are known (up to a flat top).
    """
    x, force = curve.x, curve.force
    top = whole.top
    peak_mm = whole.end_mm if top.peak_at_end else float(whole.x[int(np.argmax(whole.force))])
    first = elastic.first.line if elastic else None
    points = _bends(elastic, curve.end_mm) if elastic else []
    all_known = known == x.size and curve.end_mm > onset.mm
    return Geometry(
        onset_mm=onset.mm,
        onset_from_line=onset.from_line,
        end=Point(curve.end_mm, curve.top.end_n),
        peak=_point(peak_mm, top.peak_n, whole.end_mm),
        slope=first.slope if first else None,
        slope_n=first.at(first.mean_x) if first else 0.0,
        bend=points[0] if points else None,
        second_bend=points[1] if len(points) > 1 else None,
        to_end=area_to(x, force, onset.mm, curve.end_mm, curve.end_mm) if all_known else None,
        to_20=_area_to_20(curve, onset.mm, gauge_mm, known),
    )


def _area_to_20(curve: Corrected, onset_mm: float, gauge_mm: float | None, known: int) -> Area | None:
    if gauge_mm is None or known == 0:
        return None
    at = onset_mm + INDEX_STRAIN * (gauge_mm + onset_mm)
    reached = curve.end_mm if known == curve.x.size else float(curve.x[known - 1])
    return area_to(curve.x, curve.force, onset_mm, at, curve.end_mm) if onset_mm < at <= reached else None
