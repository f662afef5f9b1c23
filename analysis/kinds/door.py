"""One door for pulls of every kind: to the break as ever, or in phases with what that kind shows besides.

Owns which analysis a recording gets, and what a break in a later phase means for its result.
"""

from __future__ import annotations

from dataclasses import replace

from analysis.analyse import analyse, conclude
from analysis.guideline import Guideline
from analysis.kinds.phases import KINDS, Phased, phased, stretch_of
from analysis.kinds.proof import proof_of
from analysis.kinds.recovery import recovery_of
from analysis.kinds.relaxation import relaxation_of
from analysis.kinds.result import KindResult
from analysis.results import Flag, NotMeasured, PullResult, Verdict
from analysis.study import Options, Study, Unusable, study_pull
from analysis.trace import Trace
from analysis.verdict import ONE_OF_SEVERAL

KEPT_WHOLE = "the strand was kept whole: pull it to the break to see that"
#: Phases in which a break ends the stretch itself; one in a later phase came on the way back or after.
STRETCHING = ("tighten", "stretch", "hold")


def analyse_kind(trace: Trace, guideline: Guideline, options: Options | None = None) -> PullResult:
    """Analyse a pull of any kind.

    A pull to the break (and every table) gives the result of `analyse` alone. The others give that result for their
    first stretch, which did not break, and in `PullResult.part` what their kind shows. A strand that broke while it
    was stretched or held is a pull to the break.
    """
    options = options or Options()
    if trace.method is None or trace.method.kind not in KINDS:
        return analyse(trace, guideline, options)
    found = phased(trace)
    broke_in = found.parts[-1].name if found.parts and trace.end_reason == "break" else ""
    if not found.parts or trace.extension_mm is None or broke_in in STRETCHING:
        return analyse(trace, guideline, options)
    study = study_pull(stretch_of(found), options)
    if isinstance(study, Unusable):
        return analyse(stretch_of(found), guideline, options)
    return _concluded(found, study, guideline, options, broke_in)


def _concluded(found: Phased, study: Study, guideline: Guideline, options: Options, broke_in: str) -> PullResult:
    result = conclude(study, guideline)
    if study.outcome == "no_break":
        result = _without_break(result, KEPT_WHOLE)
    result = replace(
        result,
        complete=found.trace.complete,
        flags=(*found.flags, *result.flags),
        part=_part(found, study, options),
    )
    return _broken_later(result, broke_in) if broke_in else result


def _without_break(result: PullResult, reason: str) -> PullResult:
    """The result without what only a break gives."""
    none = NotMeasured(reason)
    return replace(
        result,
        elongation_at_break_pct=none,
        force_at_break_n=none,
        stress_at_break_mpa=none,
        work_to_break_mj_m3=none,
        work_to_break_uj=none,
    )


def _part(found: Phased, study: Study, options: Options) -> KindResult:
    give = options.correct_compliance
    kind = found.trace.method.kind if found.trace.method else ""
    if kind == "proof":
        return proof_of(found, study, give=give)
    if kind == "hold":
        return relaxation_of(found, study)
    return recovery_of(found, study, give=give)


def _broken_later(result: PullResult, phase: str) -> PullResult:
    """The strand broke after it had been stretched: it did not come back, whatever it reached before."""
    text = f"the strand broke in the phase {phase.replace('_', ' ')!r}, after it had been stretched"
    verdict = Verdict(
        "no_verdict",
        result.verdict.guideline_pct,
        None,
        f"No verdict: {text}: it stretched, but it did not come back. {ONE_OF_SEVERAL}",
    )
    return replace(
        _without_break(result, f"{text}, so it has no elongation at break: pull another strand"),
        outcome="broke",
        verdict=verdict,
        flags=(*result.flags, Flag("broke_later", f"{text[0].upper()}{text[1:]}.")),
    )
