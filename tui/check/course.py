"""A strength check on its way: which strand is next and from where, what was pulled, what does not count and why.

Every change makes a new value from an old one, so that it can be kept whole after each step. A pull is never taken
out: one that was spoilt or taken back stays in the list with its reason.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from tui import wording_check as wording

#: Fewest and most strands of a check; five are usual (common practice, no source).
FEWEST, USUAL, MOST = 1, 5, 30


class NotNow(Exception):
    """What was asked for can't be done in this state; the message says what can."""


@dataclass(frozen=True, slots=True)
class Pull:
    """One pull of a strand: `strand` counts from 1, `recording` is the path of its file, `aside` why it does not
    count ("" where it does)."""

    strand: int
    zone: str
    recording: str
    at: datetime
    aside: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """Something that can be taken back: a pull, or that it was set aside. `pull` is its place in the list."""

    kind: Literal["pulled", "set_aside"]
    pull: int


@dataclass(frozen=True, slots=True)
class Check:
    """A check: how the strands are tested, from which zone each is taken, and what became of them."""

    begun: datetime
    by: str
    condition: Literal["dry", "wet"]
    gauge_length_mm: float
    #: Zone of each strand, in the order in which they are pulled.
    planned: tuple[str, ...]
    pulls: tuple[Pull, ...] = ()
    steps: tuple[Step, ...] = ()
    ended: datetime | None = None

    @property
    def series(self) -> str:
        """What the recordings of this check have in common in their headers."""
        return f"check-{self.begun:%Y%m%d-%H%M%S-%f}"

    @property
    def counting(self) -> tuple[Pull, ...]:
        """The pulls that count, in the order of their strands."""
        return tuple(sorted((pull for pull in self.pulls if not pull.aside), key=lambda pull: pull.strand))

    @property
    def next_strand(self) -> int | None:
        """The first strand without a pull that counts; None where all have one."""
        done = {pull.strand for pull in self.counting}
        return next((number for number in range(1, len(self.planned) + 1) if number not in done), None)

    @property
    def last(self) -> Pull | None:
        """The pull that was made last, where nothing has been done to it since."""
        return self.pulls[self.steps[-1].pull] if self.steps and self.steps[-1].kind == "pulled" else None


def spread(zones: Sequence[str], strands: int) -> tuple[str, ...]:
    """The zone of each strand: round the zones in turn, so that every one has its share."""
    return tuple(zones[number % len(zones)] for number in range(strands))


def with_pull(check: Check, recording: str, at: datetime) -> Check:
    """A strand was pulled: the next one of the plan. Raises NotNow where none is next."""
    number = check.next_strand
    if check.ended is not None:
        raise NotNow(wording.CHECK_OVER)
    if number is None:
        raise NotNow(wording.CHECK_FULL)
    pull = Pull(number, check.planned[number - 1], recording, at)
    step = Step("pulled", len(check.pulls))
    return replace(check, pulls=(*check.pulls, pull), steps=(*check.steps, step))


def set_aside(check: Check, reason: str) -> Check:
    """The strand that was pulled last does not count and is repeated. Raises NotNow where that can't be."""
    if check.last is None or check.ended is not None:
        raise NotNow(wording.NOTHING_TO_REPEAT)
    place = check.steps[-1].pull
    step = Step("set_aside", place)
    return replace(check, pulls=_aside(check, place, reason), steps=(*check.steps, step))


def undo(check: Check) -> Check:
    """Take the last step back. Raises NotNow where there is none."""
    if not check.steps:
        raise NotNow(wording.NOTHING_TO_UNDO)
    step = check.steps[-1]
    reason = wording.ASIDE_TAKEN_BACK if step.kind == "pulled" else ""
    return replace(check, pulls=_aside(check, step.pull, reason), steps=check.steps[:-1], ended=None)


def _aside(check: Check, place: int, reason: str) -> tuple[Pull, ...]:
    return tuple(replace(pull, aside=reason) if n == place else pull for n, pull in enumerate(check.pulls))


def one_more(check: Check) -> Check:
    """One strand more, from the zone whose turn it is; an ended check goes on. Raises NotNow beyond the most."""
    if len(check.planned) >= MOST:
        raise NotNow(wording.TOO_MANY_STRANDS.format(most=MOST))
    zones = tuple(dict.fromkeys(check.planned))
    return replace(check, planned=(*check.planned, zones[len(check.planned) % len(zones)]), ended=None)


def finish(check: Check, at: datetime) -> Check:
    """End the check with the strands there are. Raises NotNow where there is none."""
    if not check.counting:
        raise NotNow(wording.CHECK_EMPTY)
    return replace(check, ended=at)
