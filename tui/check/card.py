"""The card of one client before one chemical service: four tests with outcome, date and who, and the strands.

Nothing is overwritten: a test that is done anew or corrected has one more round, and the earlier ones stay.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace
from datetime import datetime

from tui import wording_card as wording
from tui.check.course import Check, NotNow
from tui.check.rules import RULES, Kind, Stage, stage_of


@dataclass(frozen=True, slots=True)
class Finding:
    """What a test showed, when that was recorded, and by whom (a code)."""

    outcome: str
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class Round:
    """A test done once. `started` is when a timed test was begun; `finding` is None until it is read."""

    kind: Kind
    started: datetime | None = None
    started_by: str = ""
    product: str = ""
    finding: Finding | None = None


@dataclass(frozen=True, slots=True)
class Card:
    """The card. `rounds` are in the order in which they were begun."""

    reference: str
    opened: datetime
    by: str
    history: str = ""
    rounds: tuple[Round, ...] = ()
    check: Check | None = None

    def round_of(self, kind: Kind) -> Round | None:
        """The newest round of a test."""
        return next((one for one in reversed(self.rounds) if one.kind is kind), None)

    def earlier(self, kind: Kind) -> tuple[Round, ...]:
        """The rounds of a test before the newest."""
        return tuple(one for one in self.rounds if one.kind is kind)[:-1]

    @property
    def newest(self) -> datetime:
        """The newest time that stands on the card."""
        times = [self.opened]
        for one in self.rounds:
            times += [one.started] if one.started else []
            times += [one.finding.at] if one.finding else []
        if self.check is not None:
            times += [self.check.begun, *(pull.at for pull in self.check.pulls)]
        return max(times)


class Again(enum.Enum):
    """Whether a timed test that runs already may be begun anew."""

    NO = "no"
    YES = "yes"


def start(card: Card, kind: Kind, now: datetime, by: str, product: str = "", again: Again = Again.NO) -> Card:
    """Begin a timed test. Raises NotNow for a test without a timer, or one that runs already."""
    if RULES[kind].wait is None:
        raise NotNow(wording.TEST_UNTIMED)
    stage = stage_of(card.round_of(kind), now)
    if again is Again.NO and stage in (Stage.RUNNING, Stage.READABLE):
        raise NotNow(wording.TEST_RUNNING)
    return replace(card, rounds=(*card.rounds, Round(kind, now, by, product)))


def record(card: Card, kind: Kind, outcome: str, now: datetime, by: str) -> Card:
    """Record what a test showed. Raises NotNow where it can't be: not started, too early or late, no such outcome.

    A positive outcome is taken at any time after the start, whatever was recorded before: a reaction may come late.
    """
    _check_outcome(kind, outcome)
    finding = Finding(outcome, now, by)
    before = card.round_of(kind)
    if RULES[kind].wait is None:
        return replace(card, rounds=(*card.rounds, Round(kind, finding=finding)))
    if before is None or before.started is None:
        raise NotNow(wording.TEST_NOT_STARTED)
    if outcome == NEGATIVE:
        _check_time(before, now)
    if before.finding is None:
        last = max(place for place, one in enumerate(card.rounds) if one is before)
        rounds = tuple(replace(one, finding=finding) if n == last else one for n, one in enumerate(card.rounds))
        return replace(card, rounds=rounds)
    return replace(card, rounds=(*card.rounds, replace(before, finding=finding)))


#: The outcome of a timed test that showed nothing.
NEGATIVE = "none"


def _check_outcome(kind: Kind, outcome: str) -> None:
    outcomes = RULES[kind].outcomes
    if outcome not in outcomes:
        known = ", ".join(outcomes)
        raise NotNow(wording.TEST_NO_OUTCOME.format(outcome=repr(outcome), outcomes=known))


def _check_time(one: Round, now: datetime) -> None:
    """A negative outcome counts only where the test has run its time and no longer than it may."""
    from tui.check.times import left, when

    rule = RULES[one.kind]
    assert one.started is not None
    readable, until = rule.readable_at(one.started), rule.read_until(one.started)
    match stage_of(replace(one, finding=None), now):
        case Stage.CLOCK:
            raise NotNow(wording.TEST_CLOCK)
        case Stage.RUNNING:
            raise NotNow(wording.TEST_NOT_YET.format(readable=when(readable), left=left(readable, now)))
        case Stage.EXPIRED:
            raise NotNow(wording.TEST_TOO_LATE.format(until=when(until)))
