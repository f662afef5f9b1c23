"""How far each group of a series has come: its summary now and before the last pull, and whether it is enough.

Blocks: reads recordings and analyses them, each once. Called beside the screen. Knows no screens.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from tui import wording_lab as words
from tui.format import OUTCOMES, fixed, plain, quantity_text, with_unit
from tui.lab.plan import Plan, Pull
from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.results import PullResult
    from analysis.series.summary import SeriesSummary


@dataclass(frozen=True, slots=True)
class Line:
    """A group as it is shown: interval and mean [%] now and before, None where there are none; words are clean."""

    name: str
    done: int
    planned: int
    rejected: int
    mean: float | None
    now: tuple[float, float] | None
    before: tuple[float, float] | None
    values: tuple[float, ...]
    figure: str
    verdict: str
    enough: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """The whole series: its groups, and what the last pull was, as a sentence."""

    lines: tuple[Line, ...]
    last: str
    guideline_pct: float = 20.0


@dataclass(slots=True)
class Results:
    """What each recording gave, worked out once; a sentence where it gave nothing."""

    of: dict[str, PullResult | str] = field(default_factory=dict)

    def take(self, recording: str) -> PullResult | str:
        """The result of a recording, or the sentence why there is none."""
        from tui.analysing import analyse_file
        from tui.failure import sentence

        if recording not in self.of:
            try:
                self.of[recording] = analyse_file(Path(recording))
            except Exception as problem:
                self.of[recording] = sentence(problem)
        return self.of[recording]


def standing(plan: Plan, results: Results) -> Standing:
    """Where the series stands."""
    return Standing(tuple(_line(plan, number, results) for number in range(len(plan.groups))), _last(plan, results))


def _line(plan: Plan, number: int, results: Results) -> Line:
    counting = plan.counting(number)
    summary = _summary(plan, counting, results)
    latest = plan.pulls[-1] if plan.pulls else None
    earlier = [pull for pull in counting if pull is not latest]
    before = summary if len(earlier) == len(counting) else _summary(plan, earlier, results)
    figure, verdict, enough = _words(summary)
    mean = summary.mean_interval
    return Line(
        name=plan.groups[number].name,
        done=len(counting),
        planned=plan.strands,
        rejected=sum(pull.group == number and bool(pull.aside) for pull in plan.pulls),
        mean=(mean.low + mean.high) / 2 if mean else None,
        now=(mean.low, mean.high) if mean else None,
        before=(before.mean_interval.low, before.mean_interval.high) if before.mean_interval else None,
        values=_values(counting, results),
        figure=figure,
        verdict=verdict,
        enough=enough,
    )


def _summary(plan: Plan, pulls: Sequence[Pull], results: Results) -> SeriesSummary:
    from analysis.series.observation import observe
    from analysis.series.summary import summarise

    found = [results.take(pull.recording) for pull in pulls]
    seen, left = observe(one for one in found if not isinstance(one, str))
    return summarise(plan.name, seen, left)


def _words(summary: SeriesSummary) -> tuple[str, str, bool]:
    """The figure of a group, what it says about going on, and whether it is enough."""
    from analysis.results import Measured, NotMeasured
    from analysis.series.summary import ENOUGH_STRANDS, WANTED_HALF_WIDTH_PCT

    interval, mean = summary.mean_interval, summary.mean_pct
    if interval is None or isinstance(mean, NotMeasured):
        if summary.n < ENOUGH_STRANDS:
            return "", words.GROUP_TOO_FEW.format(least=ENOUGH_STRANDS), False
        known = isinstance(summary.median_pct, Measured)
        figure = words.GROUP_CENSORED.format(median=quantity_text("x_pct", summary.median_pct)) if known else ""
        reason = mean.reason if isinstance(mean, NotMeasured) else ""
        return figure, words.NO_MEAN.format(reason=clean(reason)), False
    low, high = fixed(interval.low, 1), fixed(interval.high, 1)
    figure = words.GROUP_MEAN.format(mean=with_unit(fixed(mean.value, 1), "%"), low=low, high=with_unit(high, "%"))
    half = with_unit(fixed((interval.high - interval.low) / 2, 1), "%")
    wanted = plain(WANTED_HALF_WIDTH_PCT, "%")
    if summary.more_strands is None:
        return figure, words.MORE_UNKNOWN.format(half=half, wanted=wanted), False
    if summary.more_strands:
        return figure, words.MORE.format(half=half, more=summary.more_strands, wanted=wanted), False
    return figure, words.ENOUGH.format(half=half), True


def _values(pulls: Sequence[Pull], results: Results) -> tuple[float, ...]:
    """The stretch at break of every strand that broke [%]."""
    from analysis.results import Measured

    found = [results.take(pull.recording) for pull in pulls]
    broke = [one.elongation_at_break_pct for one in found if not isinstance(one, str) and one.outcome == "broke"]
    return tuple(one.value for one in broke if isinstance(one, Measured))


def _last(plan: Plan, results: Results) -> str:
    """What the last pull was; "" before the first."""
    from analysis.results import Measured

    if not plan.pulls:
        return ""
    found = results.take(plan.pulls[-1].recording)
    if isinstance(found, str):
        return words.LAST_UNREADABLE.format(problem=found)
    what = OUTCOMES[found.outcome]
    if isinstance(found.elongation_at_break_pct, Measured):
        what = f"{what}, {quantity_text('x_pct', found.elongation_at_break_pct)}"
    sentence = words.LAST.format(what=what)
    spoilt = found.outcome != "broke" and not plan.pulls[-1].aside and plan.kind == "pull_to_break"
    return f"{sentence} {words.LAST_SPOILT}" if spoilt else sentence
