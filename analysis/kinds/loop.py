"""The numbers of a stretch and return: places and areas into set, recovery and work lost, with their uncertainty.

Owns the formulas and which inputs they rest on. One function computes every number with the inputs off, so that a
number and its uncertainty come from the same lines.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.kinds.branches import Branch, Place
from analysis.kinds.carry import Offs, carry
from analysis.pull.geometry import Area, Point
from analysis.pull.inputs import u_position_mm
from analysis.results import Measured, NotMeasured
from analysis.study import Study
from analysis.trace import FloatArray

PERCENT = 100.0
UJ_PER_N_MM = 1e3


@dataclass(frozen=True, slots=True)
class LoopShape:
    """What the results are computed from: places [mm], areas [N mm], forces [N]; None where not known."""

    gauge_mm: float
    onset_mm: float
    end_mm: float
    slack_mm: float | None
    taut_mm: float | None
    done: Area
    given_back: Area | None = None


def loop_values(
    study: Study, back: Branch | NotMeasured, slack: Place | NotMeasured, taut: Place | NotMeasured
) -> dict[str, Measured]:
    """Set, recovery and work, as far as the places are known; nothing without gauge length and newtons."""
    gauge, done = study.specimen.gauge_mm, study.shape.to_end
    if gauge is None or done is None or not study.loading.in_newtons:
        return {}
    given_back = None
    if isinstance(back, Branch) and isinstance(slack, Place):
        given_back = _area(back.x, back.force, slack.mm)
    shape = LoopShape(
        gauge_mm=gauge,
        onset_mm=study.shape.onset_mm,
        end_mm=study.shape.end.mm,
        slack_mm=slack.mm if isinstance(slack, Place) else None,
        taut_mm=taut.mm if isinstance(taut, Place) else None,
        done=done,
        given_back=given_back,
    )
    return carry(lambda off: _evaluate(shape, off), _uncertainties(study, slack, taut))


def _area(x: FloatArray, force: FloatArray, from_mm: float) -> Area:
    """Integral of the force from a place to the end of a branch, by trapezoids."""
    inside = x > from_mm
    xs, ys = np.concatenate(([from_mm], x[inside])), np.concatenate(([0.0], force[inside]))
    return Area(Point(float(xs[-1]), float(ys[-1])), float(np.trapezoid(ys, xs)), 0.0, float(xs[-1] - from_mm))


def _uncertainties(study: Study, slack: Place | NotMeasured, taut: Place | NotMeasured) -> dict[str, float]:
    """Standard uncertainty of each input, by the name that `_evaluate` knows it by."""
    trace = study.trace
    given, cal = trace.specimen, trace.extension_calibration
    force = trace.force_calibration
    slope = study.shape.slope
    onset = [one.off.onset_mm + (one.off.zero_n / slope if slope else 0.0) for one in study.inputs]
    return {
        "gauge_mm": 0.0 if given is None else given.u_gauge_length_mm,
        "scale": 0.0 if cal is None else cal.u_rel,
        "position_mm": u_position_mm(trace),
        "give_mm_per_n": 0.0 if cal is None else cal.u_compliance_mm_per_n,
        "force_scale": 0.0 if force is None else force.u_rel,
        "zero_n": study.zero.u,
        "lag_mm": study.curve.u_lag_mm,
        "onset_mm": float(np.sqrt(sum(o * o for o in onset))),
        "slack_mm": slack.u_mm if isinstance(slack, Place) else 0.0,
        "taut_mm": taut.u_mm if isinstance(taut, Place) else 0.0,
    }


def _evaluate(shape: LoopShape, off: Offs) -> dict[str, float]:
    """All results with the inputs off.

    A late amplifier shows the onsets too far on and the slack point of the way back too near; backlash of the stage
    counts on the way back alone.
    """
    scale, lag = 1.0 + off.get("scale", 0.0), off.get("lag_mm", 0.0)
    onset = shape.onset_mm * scale - lag + off.get("onset_mm", 0.0)
    length = shape.gauge_mm + off.get("gauge_mm", 0.0) + onset
    end = shape.end_mm * scale - off.get("give_mm_per_n", 0.0) * shape.done.end.n
    reached = (end - onset) / length
    out: dict[str, float] = {}
    if shape.slack_mm is not None:
        back = shape.slack_mm * scale + lag + off.get("slack_mm", 0.0) + off.get("position_mm", 0.0)
        out["set_at_once_pct"] = PERCENT * (back - onset) / length
        out["recovery_at_once_pct"] = PERCENT * (1.0 - (back - onset) / length / reached)
    if shape.taut_mm is not None:
        taut = shape.taut_mm * scale - lag + off.get("taut_mm", 0.0)
        out["set_after_rest_pct"] = PERCENT * (taut - onset) / length
        out["recovery_after_rest_pct"] = PERCENT * (1.0 - (taut - onset) / length / reached)
    if len(out) == 4:
        out["recovery_delayed_pct"] = out["recovery_after_rest_pct"] - out["recovery_at_once_pct"]
    return out | _works(shape, off)


def _works(shape: LoopShape, off: Offs) -> dict[str, float]:
    force = 1.0 + off.get("force_scale", 0.0)
    give, zero, lag = off.get("give_mm_per_n", 0.0), off.get("zero_n", 0.0), off.get("lag_mm", 0.0)
    scale = 1.0 + off.get("scale", 0.0)
    end = shape.done.end.n
    done = force * scale * shape.done.force - zero * shape.done.way - give * end**2 / 2.0 + end * lag
    out = {"work_done_uj": done * UJ_PER_N_MM}
    if shape.given_back is not None:
        area, end = shape.given_back, shape.given_back.end.n
        back = force * scale * area.force - zero * area.way - give * end**2 / 2.0 - end * lag
        out["work_given_back_uj"] = back * UJ_PER_N_MM
        out["work_lost_pct"] = PERCENT * (1.0 - back / done)
    return out
