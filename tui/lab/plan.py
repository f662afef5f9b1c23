"""A series on its way: its groups and zones, which strand is next and why, what was pulled and what does not count.

Every change makes a new value from an old one, so that it can be kept whole after each step. A pull is never taken
out: one that was rejected or taken back stays in the list with its reason. Pure.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import PurePath
from typing import Literal

from tui import wording_lab as words

Condition = Literal["dry", "wet"]
Kind = Literal["pull_to_break", "stretch_return", "hold", "proof"]

#: Most strands planned for one group: beyond, the plan is a slip of the finger.
MOST_STRANDS = 200


class NotNow(Exception):
    """What was asked for can't be done in this state; the message says what can."""


@dataclass(frozen=True, slots=True)
class Group:
    """Strands that belong together: what their hair went through, and wet or dry, which are never pooled."""

    history: str
    condition: Condition

    @property
    def name(self) -> str:
        """The group in words."""
        return f"{self.history}, {self.condition}"


@dataclass(frozen=True, slots=True)
class Air:
    """Temperature and humidity at the bench, as far as they were read."""

    temperature_c: float | None = None
    humidity_pct: float | None = None


@dataclass(frozen=True, slots=True)
class Pull:
    """One pull: `group` counts from 0, `number` is the strand's in its group from 1, `aside` why it does not count
    ("" where it does)."""

    group: int
    number: int
    zone: str
    recording: str
    at: datetime
    aside: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """Something that can be taken back: a pull, or that it was rejected. `pull` is its place in the list."""

    kind: Literal["pulled", "rejected"]
    pull: int


@dataclass(frozen=True, slots=True)
class Plan:
    """The series."""

    name: str
    begun: datetime
    groups: tuple[Group, ...]
    zones: tuple[str, ...]
    #: Strands planned for each group.
    strands: int
    gauge_length_mm: float
    kind: Kind = "pull_to_break"
    #: None: by the gauge length, as every pull where no speed was given.
    speed_mm_min: float | None = None
    air: Air = Air()
    operator: str = ""
    pulls: tuple[Pull, ...] = ()
    steps: tuple[Step, ...] = ()

    @property
    def series(self) -> str:
        """What the recordings of this series have in common in their headers."""
        return f"{self.name} {self.begun:%Y-%m-%d %H:%M:%S}"

    def counting(self, group: int) -> tuple[Pull, ...]:
        """The pulls of a group that count, in the order in which they were made."""
        return tuple(pull for pull in self.pulls if pull.group == group and not pull.aside)


@dataclass(frozen=True, slots=True)
class Next:
    """The strand that is pulled next, and the sentence that says why it."""

    group: int
    number: int
    zone: str
    why: str


def next_strand(plan: Plan) -> Next | None:
    """Which strand is next; None where every group has all of its strands.

    The groups go in turn, so that whatever changes in the course of a day changes all of them alike, and the zones
    in turn within each group. A strand whose pull was rejected is repeated from its zone when its group has its
    turn.
    """
    done = [len(plan.counting(number)) for number in range(len(plan.groups))]
    group = min(range(len(done)), key=lambda number: done[number])
    if done[group] >= plan.strands:
        return None
    numbers = {pull.number for pull in plan.counting(group)}
    number = next(one for one in range(1, plan.strands + 1) if one not in numbers)
    spoilt = next((pull for pull in reversed(plan.pulls) if (pull.group, pull.number) == (group, number)), None)
    zone = spoilt.zone if spoilt is not None else _zone(plan, group)
    return Next(group, number, zone, _why(plan, done, group, zone, spoilt))


def _zone(plan: Plan, group: int) -> str:
    """The zone with the fewest strands of the group so far."""
    taken = Counter(pull.zone for pull in plan.counting(group))
    return min(plan.zones, key=lambda zone: taken[zone])


def _why(plan: Plan, done: list[int], group: int, zone: str, spoilt: Pull | None) -> str:
    if spoilt is not None:
        return words.WHY_REPEATED.format(reason=spoilt.aside)
    parts = []
    if len(done) > 1:
        others = [count for number, count in enumerate(done) if number != group]
        even = all(count == done[group] for count in others)
        parts.append(words.WHY_TURN if even else words.WHY_FEWEST.format(count=done[group], most=max(others)))
    if len(plan.zones) > 1:
        taken = sum(pull.zone == zone for pull in plan.counting(group))
        parts.append((words.WHY_ZONE if taken else words.WHY_ZONE_NEW).format(zone=zone, count=taken))
    left = plan.strands - done[group]
    return "; ".join(parts) or words.WHY_LEFT.format(left=left)


def with_pull(plan: Plan, strand: Next, recording: str, at: datetime) -> Plan:
    """A strand was pulled."""
    pull = Pull(strand.group, strand.number, strand.zone, recording, at)
    return replace(plan, pulls=(*plan.pulls, pull), steps=(*plan.steps, Step("pulled", len(plan.pulls))))


def last_pull(plan: Plan) -> Pull | None:
    """The pull that was made last, where nothing has been done to it since."""
    return plan.pulls[plan.steps[-1].pull] if plan.steps and plan.steps[-1].kind == "pulled" else None


def reject(plan: Plan, reason: str) -> Plan:
    """The pull that was made last does not count, and its strand is repeated. Raises NotNow where that can't be."""
    if last_pull(plan) is None:
        raise NotNow(words.NOTHING_TO_REJECT)
    place = plan.steps[-1].pull
    return replace(plan, pulls=_aside(plan, place, reason), steps=(*plan.steps, Step("rejected", place)))


def undo(plan: Plan) -> Plan:
    """Take the last step back: a rejected pull counts again, a pull does not count. Raises NotNow without any."""
    if not plan.steps:
        raise NotNow(words.NOTHING_TO_UNDO)
    step = plan.steps[-1]
    reason = words.TAKEN_BACK if step.kind == "pulled" else ""
    return replace(plan, pulls=_aside(plan, step.pull, reason), steps=plan.steps[:-1])


def _aside(plan: Plan, place: int, reason: str) -> tuple[Pull, ...]:
    return tuple(replace(pull, aside=reason) if n == place else pull for n, pull in enumerate(plan.pulls))


def one_more(plan: Plan) -> Plan:
    """One strand more for every group. Raises NotNow beyond the most."""
    if plan.strands >= MOST_STRANDS:
        raise NotNow(words.TOO_MANY.format(most=MOST_STRANDS))
    return replace(plan, strands=plan.strands + 1)


@dataclass(frozen=True, slots=True)
class Stray:
    """A recording that says it belongs to the series, though the plan does not know it: the program was killed."""

    recording: str
    #: The strand as the header has it; see `strand_name`.
    strand: str
    zone: str
    at: datetime


def strand_name(strand: Next) -> str:
    """What the header of a recording calls a strand of a series: its group and number, both from 1."""
    return f"{strand.group + 1}.{strand.number}"


def recorded(plan: Plan) -> frozenset[str]:
    """The names of the recordings that the plan knows, wherever their folder stands now."""
    return frozenset(PurePath(pull.recording).name for pull in plan.pulls)


def with_strays(plan: Plan, strays: tuple[Stray, ...]) -> Plan:
    """Take in what was recorded while nobody could write it into the plan, oldest first."""
    known = recorded(plan)
    for stray in sorted(strays, key=lambda one: one.at):
        place = _placed(plan, stray.strand)
        if PurePath(stray.recording).name not in known and place is not None:
            plan = with_pull(plan, Next(*place, stray.zone, ""), stray.recording, stray.at)
    return plan


def _placed(plan: Plan, strand: str) -> tuple[int, int] | None:
    group, _, number = strand.partition(".")
    if not (group.isdecimal() and number.isdecimal() and 1 <= int(group) <= len(plan.groups)):
        return None
    return int(group) - 1, int(number)
