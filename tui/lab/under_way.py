"""Which series waits to be gone on with, in one sentence for the first screen."""

from __future__ import annotations

from tui import wording_lab as words
from tui.lab.plan import next_strand
from tui.lab.shelf import all_plans


def sentence() -> str:
    """The newest series that was begun and has strands to come; "" where there is none. Reads files."""
    begun = (plan for plan in all_plans().plans if plan.pulls and next_strand(plan) is not None)
    plan = next(begun, None)
    if plan is None:
        return ""
    done = sum(not pull.aside for pull in plan.pulls)
    return words.UNDER_WAY.format(name=plan.name, done=done, planned=plan.strands * len(plan.groups))
