"""What a card says at a moment: the state of each test in words, and the points that are open.

Owns the sentences' choice, not their text. It never concludes that a treatment may go ahead: with no point open it
says just that, and defers.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from tui import wording_card as wording
from tui.check.card import Card, Round
from tui.check.rules import CLOCK_STEP, RULES, Kind, Stage, Weight, stage_of
from tui.check.times import left, when


@dataclass(frozen=True, slots=True)
class TestState:
    """One test in words. `point` is what is open about it ("" for nothing); `at` and `by` of its newest entry."""

    __test__ = False

    kind: Kind
    stage: Stage
    name: str
    state: str
    outcome: str
    at: datetime | None
    by: str
    point: str
    round: Round | None
    earlier: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """The whole card at a moment."""

    tests: tuple[TestState, ...]
    points: tuple[str, ...]
    stopped: bool

    @property
    def headline(self) -> str:
        """The card in a few words."""
        if self.stopped:
            return wording.HEADLINE_STOP
        if len(self.points) == 1:
            return wording.HEADLINE_OPEN_ONE
        return wording.HEADLINE_OPEN.format(count=len(self.points)) if self.points else wording.HEADLINE_NONE


def standing(card: Card, now: datetime) -> Standing:
    """Everything the card says now; what stops comes first among the points."""
    tests = tuple(_state(card, kind, now) for kind in Kind)
    first = [test.point for test in tests if test.stage is Stage.STOP]
    stopped = bool(first)
    first += [_about_earlier(test.name, one) for test in tests for one in card.earlier(test.kind) if _stops(one)]
    rest = [test.point for test in tests if test.point and test.stage is not Stage.STOP]
    return Standing(tests, (*first, *_about_clock(card, now), *_about_check(card), *rest), stopped)


def _stops(one: Round) -> bool:
    """Whether a round that was done anew had been positive."""
    return one.finding is not None and RULES[one.kind].outcomes.get(one.finding.outcome) is Weight.STOP


def _about_earlier(name: str, one: Round) -> str:
    return wording.POINT_EARLIER.format(test=name, earlier=_earlier(one))


def _about_clock(card: Card, now: datetime) -> list[str]:
    return [wording.POINT_CLOCK_CARD] if now < card.newest - CLOCK_STEP else []


def _about_check(card: Card) -> list[str]:
    check = card.check
    if check is None or check.ended is not None:
        return []
    return [wording.POINT_CHECK.format(done=len(check.counting), planned=len(check.planned))]


def _state(card: Card, kind: Kind, now: datetime) -> TestState:
    one = card.round_of(kind)
    stage = stage_of(one, now)
    finding = one.finding if one else None
    return TestState(
        kind=kind,
        stage=stage,
        name=wording.KINDS[kind.value],
        state=wording.STATES[stage.value],
        outcome=outcome_words(kind, finding.outcome) if finding else "",
        at=finding.at if finding else one.started if one else None,
        by=finding.by if finding else one.started_by if one else "",
        point=_point(kind, one, stage, now),
        round=one,
        earlier=tuple(map(_earlier, card.earlier(kind))),
    )


def outcome_words(kind: Kind, outcome: str) -> str:
    """An outcome in words."""
    return wording.OUTCOMES[kind.value].get(outcome, outcome)


def _earlier(one: Round) -> str:
    """A round that was done anew, in short."""
    if one.finding is None:
        return f"{wording.STATES['running']}, {when(one.started)}" if one.started else ""
    return f"{outcome_words(one.kind, one.finding.outcome)}, {when(one.finding.at)}, {one.finding.by}"


def _point(kind: Kind, one: Round | None, stage: Stage, now: datetime) -> str:
    """What is open about a test."""
    name = wording.KINDS[kind.value]
    match stage:
        case Stage.OPEN:
            return wording.POINT_OPEN[kind.value]
        case Stage.STOP:
            return wording.POINT_STOP[kind.value]
        case Stage.CLOCK:
            return wording.POINT_CLOCK.format(test=name)
        case Stage.HEED:
            assert one is not None
            assert one.finding is not None
            return wording.POINT_HEED.get(one.finding.outcome, outcome_words(kind, one.finding.outcome))
        case Stage.FINE:
            return ""
    assert one is not None
    return _timed_point(name, one, stage, now)


def _timed_point(name: str, one: Round, stage: Stage, now: datetime) -> str:
    """What is open about a test that runs, is ready, or has expired."""
    rule = RULES[one.kind]
    if one.finding is not None:
        holds = _span(rule.holds)
        return wording.POINT_EXPIRED.format(test=name, at=when(one.started or one.finding.at), holds=holds)
    assert one.started is not None
    readable, until = rule.readable_at(one.started), when(rule.read_until(one.started))
    if stage is Stage.RUNNING:
        words = {"start": when(one.started), "readable": when(readable), "left": left(readable, now)}
        return wording.POINT_RUNNING.format(test=name, **words)
    if stage is Stage.READABLE:
        return wording.POINT_READABLE.format(test=name, until=until)
    return wording.POINT_UNREAD.format(test=name, start=when(one.started), until=until)


def _span(span: timedelta) -> str:
    hours = span // timedelta(hours=1)
    unit, count = ("days", hours // 24) if hours > 48 else ("hours", hours)
    return wording.HOLDS[unit].format(count=count)
