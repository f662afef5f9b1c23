"""From the stage's way to the strand's: the rig's own give, the amplifier's delay, slips before the break.

Owns the corrections and how sure they are. Must not know gauge lengths.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.pull.breakpoint import LEVEL_SAMPLES, BreakSearch
from analysis.pull.screening import Signal
from analysis.pull.top import Top, read_top
from analysis.pull.zero import Zero
from analysis.trace import FloatArray, Trace

#: A delay that the break does not show is taken as up to so many readings, as the filters of cheap amplifiers have.
UNSEEN_LAG_READINGS = 2.0
#: Readings just after a fall whose level it fell to.
LEVEL_READINGS = 5
#: A smear over fewer readings than this is the break falling between two readings, not a delay.
LEAST_LAG_READINGS = 0.75


@dataclass(frozen=True, slots=True)
class Corrected:
    """The curve up to its end: force [N] against the way [mm] of the stage that it belongs to.

    `end_mm` is where the strand broke, or where the pull still counts; the curve's own last point lies `lag_mm`
    before it. Standard uncertainties: of the lag, of the break's place between two readings, of slips before it.
    """

    x: FloatArray
    force: FloatArray
    top: Top
    end_mm: float
    lag_mm: float
    u_lag_mm: float
    u_break_mm: float
    u_slip_mm: float


def correct(
    trace: Trace, loading: Signal, found: BreakSearch, end: int, *, zero: Zero, broke: bool, give: bool
) -> Corrected:
    """Correct the samples up to `end`; without an extension x counts samples.

    Zero: the level of no force, which may have wandered evenly up to the break. Give: x - compliance (F - F at
    the first sample). Lag: what is read off the force comes late, but a break begins to show at once; so the curve
    is moved back by the lag, and the break stays where it is. `give` tells whether the rig's give is to be taken
    out, `broke` whether the end is a break.
    """
    force = loading.force[: end + 1] - zero.level
    if zero.drift:
        force = force - zero.drift * np.arange(end + 1) / max(found.top or end, 1)
    printed = trace.counts is None
    if loading.extension_mm is None:
        index = np.arange(force.size, dtype=np.float64)
        top = read_top(index, force, float(end), loading.noise, as_printed=printed)
        return Corrected(index, force, top, float(end), 0.0, 0.0, 0.0, 0.0)
    x = loading.extension_mm[: end + 1]
    cal = trace.extension_calibration
    if give and cal is not None and cal.compliance_mm_per_n and loading.in_newtons:
        x = x - cal.compliance_mm_per_n * (force - force[0])
    x = np.maximum.accumulate(x)
    step = _step(loading.extension_mm, end)
    lag_mm, u_lag_mm = _lag(trace, loading, found, step) if broke else (0.0, _unseen_lag(trace, step))
    return Corrected(
        x=x - lag_mm,
        force=force,
        top=read_top(x - lag_mm, force, float(x[-1]), loading.noise, as_printed=printed),
        end_mm=float(x[-1]),
        lag_mm=lag_mm,
        u_lag_mm=u_lag_mm,
        u_break_mm=_u_break(loading.extension_mm, end) if broke else 0.0,
        u_slip_mm=_u_slip(x, force, found, end),
    )


def smear_readings(loading: Signal, found: BreakSearch) -> float | None:
    """How late the amplifier is, in readings, from how it shows the break: None where that can't be seen.

    The readings of a fall, as shares of it, add up to the mean delay of the filter that smears it, whatever its
    kind (the first moment of its step response), on average over where between two readings the break fell.
    """
    top, settled = found.top, found.settled
    if top is None or settled is None or len(loading) < settled + LEVEL_SAMPLES:
        return None
    if loading.gap_before[top + 1 : settled + 1].any():
        return None
    after = float(np.median(loading.force[settled : settled + LEVEL_READINGS]))
    height = float(loading.force[top]) - after
    return float(np.sum(loading.force[top + 1 : settled + 1] - after)) / height if height > 0.0 else None


def _step(x: FloatArray, end: int) -> float:
    """Way of the stage between two readings, just before the end."""
    first = max(0, end - 10)
    return float(x[end] - x[first]) / max(end - first, 1)


def _lag(trace: Trace, loading: Signal, found: BreakSearch, step: float) -> tuple[float, float]:
    """Delay of the amplifier as way of the stage, and its standard uncertainty; none for a table."""
    if trace.counts is None:
        return 0.0, 0.0
    smear = smear_readings(loading, found)
    if smear is None:
        last = len(loading) - 1 if found.settled is None else found.settled
        return 0.0, _unseen_lag(trace, step, 0 if found.top is None else last - found.top)
    if smear < LEAST_LAG_READINGS:
        return 0.0, LEAST_LAG_READINGS * step / float(np.sqrt(3.0))
    return smear * step, step / float(np.sqrt(12.0))


def _unseen_lag(trace: Trace, step: float, falling: int = 0) -> float:
    """The delay may be as long as the usual filter's, or as the readings that were seen falling."""
    return 0.0 if trace.counts is None else max(UNSEEN_LAG_READINGS, falling) * step / float(np.sqrt(3.0))


def _u_break(x: FloatArray, end: int) -> float:
    """The break lies before the next reading (rectangular, one-sided)."""
    return float(x[end + 1] - x[end]) / float(np.sqrt(3.0)) if end + 1 < x.size else 0.0


def _u_slip(x: FloatArray, force: FloatArray, found: BreakSearch, end: int) -> float:
    """Way that the strand may have slipped: until the force before each fall was there again (rectangular)."""
    slipped = 0.0
    for tooth in found.teeth:
        if tooth.bottom < end:
            again = np.flatnonzero(force[tooth.bottom :] >= force[tooth.top])
            last = tooth.bottom + int(again[0]) if again.size else end
            slipped += float(x[last] - x[tooth.top])
    return slipped / float(np.sqrt(3.0))
