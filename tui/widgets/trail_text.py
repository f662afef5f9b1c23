"""Where the person is on the way from the rig to the result: a strand between two clamps, one bead a step. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from tui.widgets.cells import Span
from tui.widgets.signs import Signs
from tui.wording import STEPS


def trail_spans(here: int, signs: Signs, steps: Sequence[str] = STEPS) -> list[Span]:
    """The strand; steps before `here` are passed, those after it lie ahead. `here` of -1 is on none of them."""
    spans = [Span(signs.clamp_left, "thread"), Span(signs.thread, "thread")]
    for number, step in enumerate(steps):
        passed = number < here
        spans.append(Span(f"[{step}]" if number == here else f" {step} ", _role(number, here)))
        last = number == len(steps) - 1
        thread = signs.thread if passed else signs.thread_ahead
        spans.append(Span(thread * (1 if last else 2), "thread" if passed else "thread_ahead"))
    return [*spans, Span(signs.clamp_right, "thread")]


def _role(number: int, here: int) -> str:
    if number == here:
        return "here"
    return "passed" if number < here else "ahead"
