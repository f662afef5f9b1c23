"""What stands on the page, in words, ready to be set: one value for every form of it. Pure.

Every text is clean already; nothing that is set from it chooses words of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from tui import wording_card, wording_check
from tui.cautions import CAUTIONS
from tui.check.standing import TestState, standing
from tui.check.times import when
from tui.safe_text import clean

if TYPE_CHECKING:
    from tui.check.card import Card
    from tui.check.judged import Judged, StrandLine

#: Longest text of a person's that is set in one place [characters].
LONGEST = 80

#: Earlier rounds of a test that are listed; the JSON file has them all.
MOST_EARLIER = 3


@dataclass(frozen=True, slots=True)
class StrandRow:
    """One pull: number, zone, stretch, what it says; `sign` is the verdict's."""

    number: int
    zone: str
    figure: str
    sign: str
    words: str
    counts: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """One strand as it is drawn: where [%], how sure (two standard uncertainties), whether "at least" so far."""

    number: int
    stretch_pct: float
    margin_pct: float
    at_least: bool


@dataclass(frozen=True, slots=True)
class TestRow:
    """One test: its state as a sign and words, the outcome, when and who; what was found before."""

    __test__ = False

    name: str
    sign: str
    state: str
    outcome: str
    when: str
    who: str
    earlier: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Result:
    """The strength check's part of the page."""

    sign: str
    words: str
    strands: tuple[StrandRow, ...]
    marks: tuple[Mark, ...]
    measured: tuple[str, ...]
    sure: tuple[str, ...]
    not_told: tuple[str, ...]
    recordings: tuple[str, ...]
    guideline_pct: float
    #: How many pulls are not in `strands` for want of room.
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class Page:
    """The page. `result` is None where no strand was pulled."""

    title: str
    facts: tuple[tuple[str, str], ...]
    headline: str
    stopped: bool
    simulated: bool
    result: Result | None
    tests: tuple[TestRow, ...]
    points: tuple[str, ...]
    cautions: tuple[str, ...]
    deference: str
    made: str


def page_of(card: Card, judged: Judged | None, now: datetime, version: str) -> Page:
    """The page of a card at a moment."""
    stands = standing(card, now)
    return Page(
        title=wording_card.PAGE_TITLE if judged else wording_card.PAGE_TITLE_CARD,
        facts=_facts(card),
        headline=stands.headline,
        stopped=stands.stopped,
        simulated=judged is not None and judged.simulated,
        result=_result(judged) if judged else None,
        tests=tuple(map(_test_row, stands.tests)),
        points=stands.points or (wording_card.HEADLINE_NONE_MORE,),
        cautions=_cautions(judged),
        deference=f"{wording_card.CARD_DEFERENCE} {wording_card.PAGE_LIMITS}",
        made=wording_card.PAGE_MADE.format(when=when(now), version=version),
    )


def _facts(card: Card) -> tuple[tuple[str, str], ...]:
    """Who it is about, and who opened the card."""
    opened = f"{when(card.opened)}, {wording_card.PAGE_BY} {clean(card.by, LONGEST)}"
    return (
        (wording_card.PAGE_CLIENT, clean(card.reference, LONGEST)),
        (wording_card.PAGE_HISTORY, clean(card.history, LONGEST) or wording_card.NOT_SAID),
        (wording_card.PAGE_OPENED, opened),
    )


def _cautions(judged: Judged | None) -> tuple[str, ...]:
    """Those of the chemicals; the rig's where strands were pulled with it."""
    return (*wording_card.CARD_CAUTIONS, *(CAUTIONS[-1:] if judged else ()))


def _result(judged: Judged) -> Result:
    names = dict.fromkeys(_file_name(line) for line in judged.lines)
    return Result(
        sign=wording_check.RESULT_SIGNS[judged.outcome],
        words=judged.words,
        strands=tuple(map(_strand_row, judged.lines)),
        marks=tuple(mark for line in judged.counting if (mark := _mark(line))),
        measured=judged.measured,
        sure=judged.sure,
        not_told=judged.not_told,
        recordings=tuple(names),
        guideline_pct=judged.guideline_pct,
    )


def _file_name(line: StrandLine) -> str:
    """The recording's own name, whichever system's path it came with."""
    return clean(line.pull.recording.replace("\\", "/").rpartition("/")[2])


def _strand_row(line: StrandLine) -> StrandRow:
    sign = wording_check.VERDICT_SIGNS.get(line.verdict, "–") if line.counts else "–"
    return StrandRow(line.pull.strand, clean(line.pull.zone), line.figure, sign, line.words, line.counts)


def _mark(line: StrandLine) -> Mark | None:
    from analysis.results import Measured
    from tui.format import COVERAGE

    result = line.result
    if result is None:
        return None
    broke = result.elongation_at_break_pct
    if result.outcome == "broke" and isinstance(broke, Measured):
        return Mark(line.pull.strand, broke.value, COVERAGE * broke.u, at_least=False)
    reached = result.elongation_reached_pct
    return None if reached is None else Mark(line.pull.strand, reached, 0.0, at_least=True)


def _test_row(test: TestState) -> TestRow:
    outcome = clean(test.outcome)
    product = clean(test.round.product, LONGEST) if test.round else ""
    return TestRow(
        name=f"{test.name} ({product})" if product else test.name,
        sign=wording_card.STATE_SIGNS[test.stage.value],
        state=test.state,
        outcome=outcome,
        when=when(test.at) if test.at else "",
        who=clean(test.by, LONGEST),
        earlier=tuple(clean(one, 2 * LONGEST) for one in test.earlier[-MOST_EARLIER:] if one),
    )
