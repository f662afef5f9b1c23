"""One pull taken apart: every intermediate of the analysis, before anything is concluded.

Owns the order of the steps. Results (`analyse`), details, budgets and figures all start from a `Study`, so that
they can't disagree.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from analysis.pull.breakpoint import BreakSearch, find_break
from analysis.pull.corrections import Corrected, correct
from analysis.pull.elastic import Elastic, fit_elastic
from analysis.pull.geometry import Geometry, build_geometry
from analysis.pull.inputs import Input, list_inputs, u_position_mm
from analysis.pull.measures import Specimen, evaluate
from analysis.pull.notes import break_flags, flags_of
from analysis.pull.outcome import certain_end, decide, flat_since
from analysis.pull.screening import Signal, screen
from analysis.pull.slack import AT_START, Onset, find_onset, onset_at_pretension
from analysis.pull.stroke import loading_end, pulled_positive
from analysis.pull.uncertainty import Propagated, propagate
from analysis.pull.zero import Zero, judge_zero
from analysis.results import Flag, NotMeasured
from analysis.trace import FloatArray, Trace

#: Points before the break below which nothing is concluded.
LEAST_POINTS = 8
#: A slip needs fewer: that it slipped, and how far it was by then, can still be said.
LEAST_SLIPPED = 2


@dataclass(frozen=True, slots=True)
class Options:
    """What a person may switch: taking out slack, correcting for the rig's own give, counting from a pretension.

    With `pretension_n` strain counts from where the force reaches it, instead of from where the straight part meets
    zero force.
    """

    remove_slack: bool = True
    correct_compliance: bool = True
    pretension_n: float | None = None


@dataclass(frozen=True, slots=True)
class Study:
    """The intermediates of one pull.

    `curve` reaches up to the last sample that counts; `known` is how many of its samples have a known force (up to
    a flat top). `whole` also holds what came after a slip.
    """

    trace: Trace
    loading: Signal
    found: BreakSearch
    zero: Zero
    outcome: str
    curve: Corrected
    whole: Corrected
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

    trace: Trace
    reason: str
    flags: tuple[Flag, ...]


def study_pull(trace: Trace, options: Options | None = None) -> Study | Unusable:
    """Take one pull apart: screening, stroke, break, zero, straight part, onset, shape, uncertainty."""
    options = options or Options()
    signal = screen(trace)
    if isinstance(signal, str):
        return Unusable(trace, signal, flags_of(trace, ()))
    loading, after, turned = _loading_part(signal)
    flags = (*signal.flags, *turned)
    if len(loading) < LEAST_POINTS:
        return Unusable(trace, _too_few(len(loading)), flags_of(trace, flags))
    found = find_break(loading, after)
    zero = judge_zero(trace, loading, found)
    if zero.level:
        found = find_break(loading, after, level=zero.level)
    reason = signal.spoilt or _no_strand(loading, found, zero)
    if reason:
        return Unusable(trace, reason, flags_of(trace, flags))
    outcome = decide(trace, found, signal.spoilt)
    end = certain_end(found, outcome, len(loading))
    if end + 1 < (LEAST_SLIPPED if outcome == "slipped" else LEAST_POINTS):
        return Unusable(trace, _too_few(end + 1), flags_of(trace, flags))
    study = _measure(trace, options, loading, found, zero, outcome, end, flags)
    if outcome in ("no_break", "stopped") and isinstance(study.elastic, Elastic):
        since = flat_since(study.elastic, study.curve)
        if since is not None:
            slid = replace(found, slid_from=since)
            return _measure(trace, options, loading, slid, zero, "slipped", since, flags)
    return study


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
    to = partial(correct, trace, loading, found, zero=zero, give=options.correct_compliance)
    curve = to(end, broke=outcome in ("broke", "clamp_break"))
    last = len(loading) - 1 if found.top is None else found.top
    whole = to(last, broke=False) if outcome == "slipped" else curve
    unknown = np.flatnonzero(loading.saturated[: end + 1])
    known = int(unknown[0]) if unknown.size else end + 1
    elastic = fit_elastic(curve.x[:known], curve.force[:known], loading.noise, u_position_mm(trace))
    straight = elastic if isinstance(elastic, Elastic) else None
    onset = AT_START
    if options.pretension_n is not None and loading.extension_mm is not None and loading.in_newtons:
        onset = onset_at_pretension(straight, curve, options.pretension_n, loading.noise, specimen.gauge_mm)
    elif options.remove_slack and loading.extension_mm is not None:
        onset = find_onset(straight, curve, loading.noise, specimen.gauge_mm)
    shape = build_geometry(curve, whole, onset, straight, specimen.gauge_mm, known)
    inputs = list_inputs(trace, loading, shape, straight, zero, curve, onset.u_mm)
    found_flags = (*flags, *break_flags(trace, loading, found, outcome), *zero.flags, *onset.flags)
    return Study(
        trace=trace,
        loading=loading,
        found=found,
        zero=zero,
        outcome=outcome,
        curve=curve,
        whole=whole,
        known=known,
        elastic=elastic,
        onset=onset,
        shape=shape,
        specimen=specimen,
        inputs=inputs,
        measured=propagate(partial(evaluate, shape, specimen), inputs),
        flags=flags_of(trace, found_flags),
    )


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
