"""The level of no force: what was zeroed before the pull, held against what stands there after the break.

Owns the true zero. Must not know strain or stress.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.pull.breakpoint import BreakSearch
from analysis.pull.screening import Signal
from analysis.results import Flag
from analysis.trace import Trace
from analysis.words import short

#: The level after the break must lie so many standard deviations, and this share of the highest force, below the
#: zero before the pull is called taken under tension. A table's own zero is known less well than one taken here: it
#: needs more, and more still where its first readings stand at the same level (an offset of the whole table).
CLEAR_SIGMAS = 5.0
CLEAR_SHARE = 0.03
CLEAR_SHARE_TABLE = 0.05
CLEAR_SHARE_OFFSET = 0.08
#: First readings whose level is compared with that after the break.
START_SAMPLES = 5
#: A zero that moved by more than this share of the highest force is told, and carried as uncertainty.
MOVED_SHARE = 0.01


@dataclass(frozen=True, slots=True)
class Zero:
    """Level of no force in the trace's own scale [N or counts] at the start, and its standard uncertainty.

    `drift` is how far it had moved at the break, taken as even in between.
    """

    level: float
    u: float
    drift: float = 0.0
    flags: tuple[Flag, ...] = ()


def judge_zero(trace: Trace, loading: Signal, found: BreakSearch) -> Zero:
    """Decide which level is no force.

    The zero taken before the pull stands at its start, and the level after the break at its end: what lies between
    is taken as an even drift. A table's forces stay as its program printed them, and the difference is carried as
    the limit of a rectangular distribution. Where the level after the break is clearly below, the zero was
    taken with the strand already under tension, and the level after the break is the true zero. Where no zero was
    taken, the level after the break is the zero; failing that, the force at the start.
    """
    after, start = found.after_level, float(np.median(loading.force[:START_SAMPLES]))
    u_before = _u_before(trace, loading)
    if after is None:
        return _without_check(trace, loading, start, u_before)
    if _no_zero_taken(trace):
        return Zero(after, max(found.u_after, loading.noise / np.sqrt(START_SAMPLES)))
    height = float(loading.force[found.peak]) - after
    share = CLEAR_SHARE
    if trace.counts is None:
        share = CLEAR_SHARE_TABLE if start - after > 0.5 * abs(after) else CLEAR_SHARE_OFFSET
    if -after > max(CLEAR_SIGMAS * np.hypot(u_before, found.u_after), share * height):
        return Zero(after, found.u_after, flags=(_under_tension(after, loading),))
    drift = 0.0 if found.partial and after > 0.0 else after
    shifted = abs(drift) > max(CLEAR_SIGMAS * np.hypot(u_before, found.u_after), MOVED_SHARE * height)
    flags = (_moved(after, loading),) if shifted else ()
    if trace.counts is None:
        return Zero(0.0, float(np.hypot(u_before, drift / np.sqrt(3.0))), flags=flags)
    return Zero(0.0, u_before, drift, flags)


def _no_zero_taken(trace: Trace) -> bool:
    """Whether a rig's recording has no zero of its own; a table's forces are taken as its program printed them."""
    prints_force = trace.force_calibration is not None and trace.force_calibration.kind == "printed"
    return trace.counts is not None and not prints_force and (trace.u_zero_n is None or trace.force_n is None)


def _u_before(trace: Trace, loading: Signal) -> float:
    if trace.u_zero_n is not None and trace.force_n is not None:
        return trace.u_zero_n
    return loading.noise / float(np.sqrt(START_SAMPLES))


def _without_check(trace: Trace, loading: Signal, start: float, u_before: float) -> Zero:
    return Zero(start, loading.noise) if _no_zero_taken(trace) else Zero(0.0, u_before)


def _moved(after: float, loading: Signal) -> Flag:
    unit = "N" if loading.in_newtons else "counts"
    text = f"after the break the force stands at {short(after)} {unit} instead of zero"
    return Flag("zero_moved", f"{text}: the zero wandered or was knocked")


def _under_tension(after: float, loading: Signal) -> Flag:
    unit = "N" if loading.in_newtons else "counts"
    return Flag(
        "zero_under_tension",
        f"after the break the force stands at {short(after)} {unit}: the zero was taken with the strand under "
        "tension, so the level after the break was taken as zero",
    )
