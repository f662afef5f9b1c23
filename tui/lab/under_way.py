"""Which series waits to be gone on with, in one sentence for the first screen."""

from __future__ import annotations

from itertools import islice

from tui import wording_lab as words
from tui.lab.plan import Plan, next_strand
from tui.lab.shelf import all_plans


def sentence() -> str:
    """The newest series that was begun and has strands to come, and what could not be read. Reads files."""
    shelf = all_plans()
    begun = (plan for plan in shelf.plans if plan.pulls and next_strand(plan) is not None)
    return " ".join((*shelf.problems, *map(_told, islice(begun, 1))))


def _told(plan: Plan) -> str:
    done = sum(not pull.aside for pull in plan.pulls)
    return words.UNDER_WAY.format(name=plan.name, done=done, planned=plan.strands * len(plan.groups))
