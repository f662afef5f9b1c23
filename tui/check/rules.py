"""The tests before a chemical service as rules: outcomes and their weight, how long to wait, how long one holds.

All of it is common practice in the trade, no source; how long a result holds is this program's choice where
practice names no time. The instructions of a product's manufacturer override every one of these times.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.check.card import Round


class Kind(enum.Enum):
    """The tests of the card."""

    POROSITY = "porosity"
    ELASTICITY = "elasticity"
    INCOMPATIBILITY = "incompatibility"
    SKIN = "skin"


class Weight(enum.Enum):
    """What an outcome means for what comes next."""

    FINE = "fine"
    HEED = "heed"
    STOP = "stop"


class Stage(enum.Enum):
    """Where a test stands now."""

    OPEN = "open"
    RUNNING = "running"
    READABLE = "readable"
    EXPIRED = "expired"
    FINE = "fine"
    HEED = "heed"
    STOP = "stop"
    CLOCK = "clock"


@dataclass(frozen=True, slots=True)
class Rule:
    """One test. `wait` and `window` count from the start of a timed test, None for one without a timer; `holds`
    counts from the start too, or else from the finding."""

    outcomes: dict[str, Weight]
    holds: timedelta
    wait: timedelta | None = None
    window: timedelta | None = None

    def readable_at(self, started: datetime) -> datetime:
        """From when on a negative result counts."""
        return started + (self.wait or timedelta())

    def read_until(self, started: datetime) -> datetime:
        """Until when it must be read."""
        return started + (self.window or self.holds)


#: How long what is found of the hair holds: a week of washing and heat changes hair. This program's choice.
HAIR_HOLDS = timedelta(days=7)

#: Incompatibility: 30 minutes in the solution; left for more than an hour it is not the test any more (our choice).
SOAK, SOAK_WINDOW = timedelta(minutes=30), timedelta(minutes=60)

#: Skin: left 24 to 48 hours. After 48 hours it no longer speaks for a service that is still to come.
SKIN_WAIT, SKIN_WINDOW = timedelta(hours=24), timedelta(hours=48)

#: A clock may be put right by this much without a test being in doubt: network time steps by seconds.
CLOCK_STEP = timedelta(minutes=1)

_FINE, _HEED, _STOP = Weight.FINE, Weight.HEED, Weight.STOP

RULES = {
    Kind.POROSITY: Rule({"good": _FINE, "porous": _HEED, "over-porous": _HEED, "resistant": _HEED}, HAIR_HOLDS),
    Kind.ELASTICITY: Rule(
        {
            "meets": _FINE,
            "below": _HEED,
            "mixed": _HEED,
            "too_close": _HEED,
            "unsettled": _HEED,
            "good-by-hand": _FINE,
            "poor-by-hand": _HEED,
        },
        HAIR_HOLDS,
    ),
    Kind.INCOMPATIBILITY: Rule(
        {"heat": _STOP, "bubbling": _STOP, "colour": _STOP, "falls-apart": _STOP, "several": _STOP, "none": _FINE},
        HAIR_HOLDS,
        SOAK,
        SOAK_WINDOW,
    ),
    Kind.SKIN: Rule(
        {
            "redness": _STOP,
            "swelling": _STOP,
            "burning": _STOP,
            "blistering": _STOP,
            "itching": _STOP,
            "several": _STOP,
            "none": _FINE,
        },
        SKIN_WINDOW,
        SKIN_WAIT,
        SKIN_WINDOW,
    ),
}

#: Outcomes that only the rig's strands can give.
BY_RIG = frozenset({"meets", "below", "mixed", "too_close", "unsettled"})


def stage_of(one: Round | None, now: datetime) -> Stage:
    """Where a test's newest round stands now. A positive result stays positive, however old it is."""
    if one is None:
        return Stage.OPEN
    rule = RULES[one.kind]
    weight = rule.outcomes.get(one.finding.outcome, Weight.HEED) if one.finding else None
    if weight is Weight.STOP:
        return Stage.STOP
    if now < last_time(one) - CLOCK_STEP:
        return Stage.CLOCK
    if weight is None:
        return _stage_unread(rule, one, now)
    since = one.started or last_time(one)
    return Stage.EXPIRED if now >= since + rule.holds else Stage(weight.value)


def last_time(one: Round) -> datetime:
    """The newest time of a round."""
    times = [one.started] if one.started else []
    times += [one.finding.at] if one.finding else []
    return max(times)


def _stage_unread(rule: Rule, one: Round, now: datetime) -> Stage:
    assert one.started is not None
    if now < rule.readable_at(one.started):
        return Stage.RUNNING
    return Stage.READABLE if now < rule.read_until(one.started) else Stage.EXPIRED
