"""Who was how far off, after one pull and over a term. Pure: rounds in, rows out. Knows no files and no widgets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from tui.classroom.guesses import Round

if TYPE_CHECKING:
    from analysis.series.agreement import Agreement
    from analysis.series.learning import Trend


@dataclass(frozen=True, slots=True)
class Score:
    """One student's guess about one strand; `off_pct` is guess minus measurement [% of stretch]."""

    student: str
    guess_pct: float
    measured_pct: float

    @property
    def off_pct(self) -> float:
        """How far the guess was above (or, below zero, below) what was measured."""
        return self.guess_pct - self.measured_pct


@dataclass(frozen=True, slots=True)
class Term:
    """One student over all sessions. `agreement` and `trend` are None where there is too little to say."""

    student: str
    #: The guesses that have a measurement, oldest first.
    scores: tuple[Score, ...]
    #: How far off the student was on average in each session, signs left out [% of stretch], oldest first.
    per_session: tuple[float, ...]
    mean_off_pct: float
    agreement: Agreement | None
    trend: Trend | None


def scores_of(one: Round) -> list[Score]:
    """The scores of a round, the closest first; none before its pull."""
    if one.outcome is None:
        return []
    measured = one.outcome.measured_pct
    scores = [Score(g.student, g.guess_pct, measured) for g in one.guesses if g.guess_pct is not None]
    return sorted(scores, key=lambda score: (abs(score.off_pct), score.student))


def terms_of(rounds: Sequence[Round]) -> list[Term]:
    """Every student over all rounds that have an outcome, by code."""
    found: dict[str, list[tuple[date, Score]]] = {}
    for one in rounds:
        for score in scores_of(one):
            found.setdefault(score.student, []).append((one.started.date(), score))
    return [_term(student, dated) for student, dated in sorted(found.items())]


def whole_class(rounds: Sequence[Round]) -> Term | None:
    """Everybody's guesses together; None before the first outcome."""
    dated = [(one.started.date(), score) for one in rounds for score in scores_of(one)]
    return _term("", dated) if dated else None


def _term(student: str, dated: Sequence[tuple[date, Score]]) -> Term:
    days = sorted({day for day, _ in dated})
    off = [(days.index(day) + 1, abs(score.off_pct)) for day, score in dated]
    sessions = [[distance for number, distance in off if number == session + 1] for session in range(len(days))]
    scores = tuple(score for _, score in dated)
    return Term(
        student=student,
        scores=scores,
        per_session=tuple(sum(distances) / len(distances) for distances in sessions),
        mean_off_pct=sum(score.off_pct for score in scores) / len(scores),
        agreement=_agreement(scores),
        trend=_trend(off),
    )


def _agreement(scores: Sequence[Score]) -> Agreement | None:
    from analysis.errors import InputError
    from analysis.series.agreement import limits_of_agreement

    try:
        return limits_of_agreement([s.guess_pct for s in scores], [s.measured_pct for s in scores])
    except InputError:
        return None


def _trend(off: Sequence[tuple[int, float]]) -> Trend | None:
    from analysis.errors import InputError
    from analysis.series.learning import trend_of_errors

    try:
        return trend_of_errors([session for session, _ in off], [distance for _, distance in off])
    except InputError:
        return None
