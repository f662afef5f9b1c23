"""Results sorted into groups: by what their recordings say of the strand, or as the person names them.

Wet and dry never share a group: water changes the strand more than most treatments do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.errors import InputError
from analysis.results import PullResult
from recordings.format import Specimen
from tui.analysing import Analysed
from tui.safe_text import clean

#: What recordings can be sorted by, and what it is called.
KEYS = ("history", "zone", "condition", "reference", "series")
NOBODY_SAID = "not said"


@dataclass(frozen=True, slots=True)
class Group:
    """A named group of results of one condition."""

    name: str
    condition: str
    results: tuple[PullResult, ...]


def by_key(pulls: Sequence[Analysed], key: str) -> tuple[Group, ...]:
    """Sort by a field of the specimen, and by wet and dry where both occur."""
    conditions = {_condition(p.specimen) for p in pulls}
    groups: dict[tuple[str, str], list[PullResult]] = {}
    for pull in pulls:
        condition = _condition(pull.specimen)
        value = clean(getattr(pull.specimen, key, "") or "") or NOBODY_SAID
        groups.setdefault((value, condition), []).append(pull.result)
    several = len(conditions) > 1 and key != "condition"
    return tuple(
        Group(f"{value}, {condition}" if several else value, condition, tuple(results))
        for (value, condition), results in groups.items()
    )


def named(name: str, pulls: Sequence[Analysed]) -> Group:
    """A group as the person put it together. Raises InputError where wet and dry are mixed in it."""
    conditions = {_condition(p.specimen) for p in pulls}
    if {"wet", "dry"} <= conditions:
        raise InputError(
            f"group {clean(name)!r} mixes wet and dry strands, which can't be pooled: make two groups of it"
        )
    return Group(
        clean(name), conditions.pop() if len(conditions) == 1 else NOBODY_SAID, tuple(p.result for p in pulls)
    )


def _condition(specimen: Specimen | None) -> str:
    return (specimen.condition if specimen else "") or NOBODY_SAID
