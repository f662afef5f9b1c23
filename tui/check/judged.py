"""The pulls of a check, judged: what each strand says in a line, what the set says, how sure, what it leaves out.

Numbers and the set's sentence are the analysis's; the words for the person are chosen here. Nothing is kept of it:
it is worked out from the recordings, every time anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tui import wording_check as wording
from tui.check.course import Check, Pull
from tui.format import plain, quantity_text
from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.results import PullResult
    from analysis.series.summary import SeriesSummary


#: Outcomes of a pull after which repeating the strand is offered.
SPOILT = ("slipped", "clamp_break", "stopped", "bad_test")

#: Fewest strands about which anything is said as of a set: the analysis's own least number.
ENOUGH = 3

#: Longest sentence taken over from the analysis [characters].
LONGEST_SENTENCE = 600


@dataclass(frozen=True, slots=True)
class StrandLine:
    """One pull in a line. `verdict` is the analysis's class, "" without a result; `suggests` is why to repeat
    the strand, "" where nothing speaks for it."""

    pull: Pull
    verdict: str
    words: str
    figure: str
    suggests: str
    result: PullResult | None

    @property
    def counts(self) -> bool:
        """Whether the pull speaks for its strand."""
        return not self.pull.aside


@dataclass(frozen=True, slots=True)
class Judged:
    """The whole check in words. `outcome` is its key on the card; `lines` has every pull, in the order made."""

    outcome: str
    words: str
    statement: str
    lines: tuple[StrandLine, ...]
    measured: tuple[str, ...]
    sure: tuple[str, ...]
    not_told: tuple[str, ...]
    guideline_pct: float
    simulated: bool
    summary: SeriesSummary | None

    @property
    def counting(self) -> tuple[StrandLine, ...]:
        """The lines that count, in the order of the strands."""
        return tuple(sorted((line for line in self.lines if line.counts), key=lambda line: line.pull.strand))


def read_results(check: Check, known: dict[str, PullResult]) -> dict[str, PullResult | str]:
    """The results of the pulls, by path; those in `known` are taken from there. Blocks, imports the analysis."""
    from tui.analysing import analyse_file
    from tui.failure import sentence

    found: dict[str, PullResult | str] = {}
    for path in dict.fromkeys(pull.recording for pull in check.pulls):
        try:
            found[path] = known[path] = known.get(path) or analyse_file(Path(path))
        except Exception as problem:
            found[path] = sentence(problem)
    return found


def line_of(pull: Pull, given: PullResult | str) -> StrandLine:
    """One pull in a line."""
    if isinstance(given, str):
        words = wording.LINE_UNREAD.format(problem=clean(given, LONGEST_SENTENCE))
        return StrandLine(pull, "", _or_aside(pull, words), "", "", None)
    verdict = given.verdict.verdict_class
    spoilt = given.outcome if given.outcome in SPOILT else ""
    return StrandLine(
        pull=pull,
        verdict=verdict,
        words=_or_aside(pull, wording.WORDS_BY_VERDICT[verdict]),
        figure=figure_of(given),
        suggests=spoilt,
        result=given,
    )


def _or_aside(pull: Pull, words: str) -> str:
    return wording.LINE_ASIDE.format(reason=pull.aside) if pull.aside else words


def figure_of(result: PullResult) -> str:
    """The stretch at break with its ±, or "at least" what was reached."""
    from analysis.results import Measured

    if result.outcome == "broke" and isinstance(result.elongation_at_break_pct, Measured):
        return quantity_text("x_pct", result.elongation_at_break_pct)
    if result.elongation_reached_pct is None:
        return ""
    return wording.AT_LEAST.format(value=plain(result.elongation_reached_pct, "%", 3))


def judge(check: Check, reference: str, results: Mapping[str, PullResult | str]) -> Judged:
    """Judge a check by the results of its pulls. Imports the analysis."""
    lines = tuple(line_of(pull, results[pull.recording]) for pull in check.pulls)
    counting = sorted((line for line in lines if line.counts), key=lambda line: line.pull.strand)
    found = [line.result for line in counting if line.result is not None]
    simulated = any(line.result is not None and line.result.simulated for line in lines)
    guideline_pct = found[0].verdict.guideline_pct if found else 20.0
    summary = _summary(clean(reference), found, guideline_pct)
    outcome = _outcome(counting, summary)
    return Judged(
        outcome=outcome,
        words=wording.RESULT_WORDS[outcome].format(guideline=guideline_pct),
        statement=summary.statement if summary else wording.MEASURED_NONE,
        lines=lines,
        measured=_measured(check, counting, summary),
        sure=_sure(lines, summary),
        not_told=tuple(sentence.format(condition=check.condition) for sentence in wording.NOT_TOLD),
        guideline_pct=guideline_pct,
        simulated=simulated,
        summary=summary,
    )


def _summary(reference: str, found: Sequence[PullResult], guideline_pct: float) -> SeriesSummary | None:
    from analysis.series.observation import observe
    from analysis.series.summary import summarise

    return summarise(reference, *observe(found), guideline_pct=guideline_pct) if found else None


def _outcome(counting: Sequence[StrandLine], summary: SeriesSummary | None) -> str:
    """The set against the guideline. A strand below among others that reach it is "mixed", whatever the mean says:
    damage that sits in one zone is what the strands are spread for."""
    if summary is None or summary.n < ENOUGH:
        return "unsettled"
    verdicts = {line.verdict for line in counting}
    if {"meets", "below"} <= verdicts:
        return "mixed"
    interval = summary.mean_interval
    if interval is None:
        return "meets" if verdicts == {"meets"} else "unsettled"
    if interval.high < summary.guideline_pct:
        return "below"
    if verdicts - {"meets", "too_close"} and interval.low >= summary.guideline_pct:
        return "unsettled"  # a strand that was to count says nothing: the others do not answer for it
    return "meets" if interval.low >= summary.guideline_pct and verdicts == {"meets"} else "too_close"


def _measured(check: Check, counting: Sequence[StrandLine], summary: SeriesSummary | None) -> tuple[str, ...]:
    if not counting or summary is None:
        return (wording.MEASURED_NONE,)
    zones = ", ".join(dict.fromkeys(line.pull.zone for line in counting))
    how = wording.MEASURED_ONE if len(counting) == 1 else wording.MEASURED_HOW
    facts = {"count": len(counting), "condition": check.condition, "zones": zones, "gauge": check.gauge_length_mm}
    return (how.format(**facts), summary.statement, *_range(counting))


def _range(counting: Sequence[StrandLine]) -> list[str]:
    """The weakest strand and the strongest, by name: it is the weakest that matters."""
    from analysis.results import Measured

    broke = [
        (line.result.elongation_at_break_pct.value, line)
        for line in counting
        if line.result is not None
        and line.result.outcome == "broke"
        and isinstance(line.result.elongation_at_break_pct, Measured)
    ]
    if len(broke) < ENOUGH:
        return []
    weakest, strongest = min(broke, key=lambda one: one[0]), max(broke, key=lambda one: one[0])
    pull = weakest[1].pull
    words = {"smallest": plain(weakest[0], "%", 3), "largest": plain(strongest[0], "%", 3)}
    return [wording.MEASURED_RANGE.format(**words, number=pull.strand, zone=pull.zone)]


def _sure(lines: Sequence[StrandLine], summary: SeriesSummary | None) -> tuple[str, ...]:
    said: list[str] = []
    if summary is not None:
        said += _interval(summary)
        more = summary.more_strands
        if more:
            said.append(wording.SURE_MORE_ONE if more == 1 else wording.SURE_MORE.format(count=more))
        said += [f"{clean(left.name)}: {clean(left.reason)}." for left in summary.left_out]
    aside = sum(not line.counts for line in lines)
    if aside:
        said.append(wording.SURE_ASIDE_ONE if aside == 1 else wording.SURE_ASIDE.format(count=aside))
    return tuple(said)


def _interval(summary: SeriesSummary) -> list[str]:
    from analysis.results import Measured, NotMeasured

    interval = summary.mean_interval
    if interval is None:
        reason = summary.mean_pct.reason if isinstance(summary.mean_pct, NotMeasured) else ""
        return [wording.SURE_NONE.format(reason=clean(reason, LONGEST_SENTENCE))]
    said = [wording.SURE_INTERVAL.format(low=max(interval.low, 0.0), high=interval.high)]
    bound = summary.tolerance_bound_pct
    if isinstance(bound, Measured):
        useful = bound.value > 0
        said.append(wording.SURE_BOUND.format(bound=bound.value) if useful else wording.SURE_NO_BOUND)
    return said
