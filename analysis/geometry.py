"""The shape of one pull in a few numbers: points, lines and areas in the plane of extension [mm] and force [N].

Owns what the measures are computed from. Everything here is still before gauge length and cross-section, so that
each input's effect on each result can be followed by moving these few points (`measures`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.elastic import Elastic
from analysis.trace import FloatArray


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the curve."""

    mm: float
    n: float


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


def area_to(x: FloatArray, force: FloatArray, onset_mm: float, end_mm: float) -> Area:
    """Integrate from the onset to `end_mm` by trapezoids, both ends interpolated.

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
        Point(end_mm, end_n),
        float(np.sum(dx * (a + b)) / 2.0),
        float(np.sum(dx * (a * a + a * b + b * b)) / 3.0),
        end_mm - onset_mm,
    )


def build_geometry(
    x: FloatArray,
    force: FloatArray,
    onset_mm: float,
    *,
    onset_from_line: bool,
    elastic: Elastic | None,
    end_20_mm: float | None,
    known: int,
) -> Geometry:
    """Collect the points of a curve up to its end.

    Parameters
    ----------
    x, force
        Corrected extension [mm] and force [N] up to the break (or to where the pull still counts).
    end_20_mm
        Extension [mm] at which the strain is 20 %; None where the gauge length is not known.
    known
        Samples from the start on whose forces are known (up to a flat top).
    """
    peak = int(np.argmax(force))
    end = Point(float(x[-1]), float(force[-1]))
    to_end = area_to(x, force, onset_mm, end.mm) if known == x.size and end.mm > onset_mm else None
    to_20 = None
    if end_20_mm is not None and onset_mm < end_20_mm <= x[known - 1]:
        to_20 = area_to(x, force, onset_mm, end_20_mm)
    bends = elastic.bends if elastic else None
    points = [Point(k, line.at(k)) for k, line in zip(bends.knots, bends.lines, strict=False)] if bends else []
    return Geometry(
        onset_mm=onset_mm,
        onset_from_line=onset_from_line,
        end=end,
        peak=Point(float(x[peak]), float(force[peak])),
        slope=elastic.slope if elastic else None,
        slope_n=float(np.interp((elastic.from_mm + elastic.to_mm) / 2.0, x, force)) if elastic else 0.0,
        bend=points[0] if points else None,
        second_bend=points[1] if len(points) > 1 else None,
        to_end=to_end,
        to_20=to_20,
    )
