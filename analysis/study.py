"""One pull taken apart: every intermediate of the analysis, before anything is concluded.

Owns the order of the steps. Results (`analyse`), details, budgets and figures all start from a `Study`, so that
they can't disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.breakpoint import LEVEL_SAMPLES, BreakSearch, find_break
from analysis.elastic import Elastic, fit_elastic
from analysis.geometry import Geometry, build_geometry
from analysis.measures import Specimen
from analysis.notes import flags_of
from analysis.outcome import certain_end, decide, said_broken
from analysis.results import Flag, NotMeasured
from analysis.screening import Signal, screen
from analysis.slack import AT_START, Onset, find_onset
from analysis.stroke import loading_end, pulled_positive
from analysis.trace import FloatArray, Trace
from analysis.uncertainty import LAG_READINGS, Input, Propagated, list_inputs, propagate
from analysis.zero import Zero, judge_zero

#: Points before the break below which nothing is concluded.
LEAST_POINTS = 8


@dataclass(frozen=True, slots=True)
class Options:
    """What a person may switch off: taking out slack, and correcting for the rig's own give."""

    remove_slack: bool = True
    correct_compliance: bool = True


@dataclass(frozen=True, slots=True)
class Study:
    """The intermediates of one pull.

    `x` [mm] and `force` [N] are corrected and reach up to the last sample that counts; without an extension `x`
    counts samples. `known` is how many of them have a known force (up to a flat top).
    """

    trace: Trace
    loading: Signal
    found: BreakSearch
    zero: Zero
    outcome: str
    x: FloatArray
    force: FloatArray
    known: int
    elastic: Elastic | NotMeasured
    onset: Onset
    shape: Geometry
    specimen: Specimen
    inputs: tuple[Input, ...]
    measured: Propagated
    flags: tuple[Flag, ...]

    @property
    def has_extension(self) -> bool:
        """Whether the pull has an extension at all."""
        return self.loading.extension_mm is not None


@dataclass(frozen=True, slots=True)
class Unusable:
    """A pull of which nothing can be said, and why."""

    reason: str
    flags: tuple[Flag, ...]


def study_pull(trace: Trace, options: Options | None = None) -> Study | Unusable:
    """Take one pull apart: screening, stroke, break, zero, straight part, onset, shape, uncertainty."""
    options = options or Options()
    signal = screen(trace)
    if isinstance(signal, str):
        return Unusable(signal, flags_of(trace, ()))
    loading, after, turned = _loading_part(signal)
    flags = (*signal.flags, *turned)
    if len(loading) < LEAST_POINTS:
        return Unusable(_too_few(len(loading)), flags_of(trace, flags))
    found = find_break(loading, after)
    zero = judge_zero(trace, loading, found)
    if zero.level:
        found = find_break(loading, after, level=zero.level)
    reason = signal.spoilt or _no_strand(loading, found, zero)
    if reason:
        return Unusable(reason, flags_of(trace, flags))
    outcome = decide(trace, found, signal.spoilt)
    end = certain_end(found, outcome, len(loading))
    if end + 1 < LEAST_POINTS:
        return Unusable(_too_few(end + 1), flags_of(trace, flags))
    return _measure(trace, options, loading, found, zero, outcome, end, flags)


def _loading_part(signal: Signal) -> tuple[Signal, FloatArray, tuple[Flag, ...]]:
    """The loading stroke, the readings after it, and a flag where the position ran the other way."""
    if signal.extension_mm is None or len(signal) == 0:
        return signal, np.empty(0), ()
    x, flags = pulled_positive(signal.extension_mm)
    stop = loading_end(x)
    turned = signal.with_extension(x)
    return turned.part(0, stop), signal.force[stop:], flags


def _too_few(n: int) -> str:
    return f"only {n} points before the break; at least {LEAST_POINTS} are needed"


def _no_strand(loading: Signal, found: BreakSearch, zero: Zero) -> str:
    height = float(loading.force[found.peak]) - zero.level
    if height <= max(8.0 * loading.noise, 0.0):
        return "the force never rose above the noise: check the clamps and the force cell's cable"
    return ""


def _measure(
    trace: Trace,
    options: Options,
    loading: Signal,
    found: BreakSearch,
    zero: Zero,
    outcome: str,
    end: int,
    flags: tuple[Flag, ...],
) -> Study:
    specimen = specimen_of(trace)
    force = loading.force[: end + 1] - zero.level
    x = _corrected(trace, options, loading, force)
    unknown = np.flatnonzero(loading.saturated[: end + 1])
    known = int(unknown[0]) if unknown.size else end + 1
    elastic = fit_elastic(x[:known], force[:known], loading.noise)
    straight = elastic if isinstance(elastic, Elastic) else None
    onset = AT_START
    if options.remove_slack and loading.extension_mm is not None:
        onset = find_onset(straight, float(force[0]), float(force.max()), loading.noise, specimen.gauge_mm)
    end_20 = None if specimen.gauge_mm is None else onset.mm + 0.2 * (specimen.gauge_mm + onset.mm)
    shape = build_geometry(
        x, force, onset.mm, onset_from_line=onset.from_line, elastic=straight, end_20_mm=end_20, known=known
    )
    inputs = list_inputs(
        trace,
        loading,
        shape,
        straight,
        u_zero=zero.u,
        break_step_mm=_break_step(loading, end) if outcome == "broke" else 0.0,
        lag_mm=_lag(trace, loading, end),
    )
    flags = (*flags, *_break_flags(trace, loading, found, outcome), *zero.flags, *onset.flags)
    return Study(
        trace, loading, found, zero, outcome, x, force, known, elastic, onset, shape, specimen, inputs,
        propagate(shape, specimen, inputs), flags_of(trace, flags),
    )  # fmt: skip


def specimen_of(trace: Trace) -> Specimen:
    """Gauge length and cross-section as far as they are known and can be."""
    given = trace.specimen
    if given is None:
        return Specimen(None, None)
    gauge = given.gauge_length_mm if given.gauge_length_mm and given.gauge_length_mm > 0.0 else None
    area = given.area_um2
    if area is None and given.diameter_um is not None:
        area = np.pi * given.diameter_um**2 / 4.0
    if trace.extension_mm is None:
        gauge = None
    return Specimen(gauge, float(area) if area and area > 0.0 else None)


def _corrected(trace: Trace, options: Options, loading: Signal, force: FloatArray) -> FloatArray:
    """Extension without the rig's own give, which is its compliance times the force (never falling)."""
    n = force.size
    if loading.extension_mm is None:
        return np.arange(n, dtype=np.float64)
    x = loading.extension_mm[:n]
    give = trace.extension_calibration.compliance_mm_per_n if trace.extension_calibration else 0.0
    if give and options.correct_compliance and loading.in_newtons:
        x = x - give * (force - force[0])
    return np.maximum.accumulate(x)


def _break_step(loading: Signal, end: int) -> float:
    """Standard uncertainty of the break's place: it lies before the next reading (rectangular)."""
    x = loading.extension_mm
    if x is None or end + 1 >= x.size:
        return 0.0
    return float(x[end + 1] - x[end]) / float(np.sqrt(3.0))


def _lag(trace: Trace, loading: Signal, end: int) -> float:
    """Standard uncertainty from the amplifier's delay, as way of the stage; none for another program's table."""
    x = loading.extension_mm
    if x is None or trace.counts is None:
        return 0.0
    return LAG_READINGS * float(np.median(np.diff(x[: end + 1]))) / float(np.sqrt(3.0))


def _break_flags(trace: Trace, loading: Signal, found: BreakSearch, outcome: str) -> tuple[Flag, ...]:
    flags = []
    if outcome in ("broke", "clamp_break") and found.partial:
        text = "part of the load stayed after the break: several strands, or one that tore in steps"
        flags.append(Flag("partial_break", text))
    if found.teeth and outcome != "slipped":
        worst = max(tooth.loss for tooth in found.teeth)
        fell = f"before the end the force fell by up to {100 * worst:.0f} % and rose again"
        flags.append(Flag("load_drop", f"{fell}: the strand may have slipped a little"))
    after = len(loading) - (found.settled if found.settled is not None else len(loading))
    if outcome in ("broke", "clamp_break") and after < LEVEL_SAMPLES and found.after_level is None:
        text = "too few readings after the break: the zero of force could not be checked"
        flags.append(Flag("no_sample_after_break", text))
    if outcome == "no_break" and trace.counts is None and not said_broken(trace):
        text = "the data end while the strand still carries load: nothing shows whether it broke there"
        flags.append(Flag("no_sample_after_break", text))
    return tuple(flags)
