"""The loading and unloading branches of a stretched strand, on the same axes: strain's way in mm, force in N.

Owns the way back and the second stretch: their corrected points, where the strand goes slack and where it becomes
taut again, each with its standard uncertainty. Must not know recovery or work.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.kinds.phases import Part, Phased
from analysis.pull.elastic import fit_elastic
from analysis.pull.screening import Signal
from analysis.pull.straight import straight_in
from analysis.pull.sums import Sums
from analysis.results import NotMeasured
from analysis.study import Study
from analysis.trace import FloatArray

#: The strand goes slack where a line through these shares of the force at the turn meets zero force.
LOW_SHARES = (0.03, 0.15)
LEAST_POINTS = 6
#: A reading counts towards that line from so many noise deviations on.
LOW_SIGMAS = 5.0
#: The strand is taut again once its force is above this share of the force that it had been stretched to.
TAUT_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the way of the stage [mm] with its standard uncertainty."""

    mm: float
    u_mm: float


@dataclass(frozen=True, slots=True)
class Branch:
    """Points of a branch in the order of rising x: corrected way [mm] and force [N]; noise of one force reading."""

    x: FloatArray
    force: FloatArray
    noise: float


def branch_of(found: Phased, part: Part, study: Study, *, give: bool) -> Branch | NotMeasured:
    """The readings of a phase while the stage moved, on the study's axes; `give` takes the rig's out."""
    signal = found.signal(replace(part, start=max(part.start - 1, 0)))  # from where it stood before
    if signal is None or signal.extension_mm is None:
        text = f"the readings of the phase {part.name!r} can't be used"
        return NotMeasured(f"{text}: check the wiring of the force cell")
    x = corrected(found, signal, study, give=give)
    moved = np.flatnonzero(np.diff(x_raw(found, signal)) != 0.0)
    if moved.size < LEAST_POINTS:
        return NotMeasured(f"only {moved.size} readings in the phase {part.name!r}: pull slower or read faster")
    rows = slice(int(moved[0]), int(moved[-1]) + 2)
    xs, force = x[rows], signal.force[rows]
    if xs[-1] < xs[0]:
        xs, force = xs[::-1], force[::-1]
    return Branch(np.maximum.accumulate(xs), force, study.loading.noise)


def x_raw(found: Phased, signal: Signal) -> FloatArray:
    """Way of the stage from the start of the recording, counted positive when it stretches [mm]."""
    all_x = found.trace.extension_mm
    assert all_x is not None
    assert signal.extension_mm is not None
    way = all_x - all_x[0]
    sign = 1.0 if way[int(np.argmax(np.abs(way)))] >= 0.0 else -1.0
    return np.asarray(sign * (signal.extension_mm - all_x[0]))


def corrected(found: Phased, signal: Signal, study: Study, *, give: bool) -> FloatArray:
    """The way of the strand: the stage's, less the rig's own give, as in the study's curve."""
    x = x_raw(found, signal)
    cal = found.trace.extension_calibration
    if not give or cal is None:
        return x
    return np.asarray(x - cal.compliance_mm_per_n * (signal.force - study.curve.force[0]))


def slack_point(back: Branch) -> Place | NotMeasured:
    """Where the strand goes slack on its way back.

    A line through the low part of the branch, led on to zero force: the toe construction of ASTM D638 Annex A1 on
    the way back. What the line through the lower half of those points says otherwise is taken as the limit of a
    rectangular distribution: the branch need not be straight.
    """
    top = float(back.force[-3:].mean())
    low, high = (share * top for share in LOW_SHARES)
    first = _first_above(back.force, max(low, LOW_SIGMAS * back.noise))
    last = _first_above(back.force, high)
    if last - first < LEAST_POINTS:
        return NotMeasured("the way back has too few readings near zero force: return slower or read faster")
    sums = Sums(back.x, back.force)
    whole = straight_in(sums, first, last, back.noise)
    if whole.line.slope <= 0.0:
        return NotMeasured("the force did not fall to zero in a straight part on the way back")
    at = -whole.line.intercept / whole.line.slope
    half = sums.line(first, (first + last) // 2)
    apart = at + half.intercept / half.slope if half.slope > 0.0 else 0.0
    scatter = whole.sigma * float(np.sqrt(whole.line.variance_at(at))) / whole.line.slope
    return Place(at, float(np.hypot(scatter, apart / np.sqrt(3.0))))


def taut_point(again: Branch, force_before_n: float) -> Place | NotMeasured:
    """Where the force begins to rise when the strand is stretched again: as the onset of the first stretch."""
    reached = float(again.force.max())
    if reached < TAUT_SHARE * force_before_n:
        return NotMeasured("the force did not rise again in the second stretch: the strand broke or slipped unseen")
    elastic = fit_elastic(again.x, again.force, again.noise)
    if isinstance(elastic, NotMeasured):
        return elastic
    line = elastic.first
    tilt = line.u_curve * (line.line.mean_x - elastic.onset_mm) / line.line.slope
    return Place(elastic.onset_mm, float(np.hypot(elastic.u_onset_mm, tilt)))


def _first_above(force: FloatArray, level: float) -> int:
    """Index after the last reading at or below a level, in a branch that rises."""
    below = np.flatnonzero(force <= level)
    return int(below[-1]) + 1 if below.size else 0
