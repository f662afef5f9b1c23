"""Where the person is on the way from the rig to the result: a strand between two clamps, one bead a step."""

from __future__ import annotations

from collections.abc import Sequence

from tui.widgets.cells import Span
from tui.widgets.painted import Painted
from tui.widgets.signs import Signs
from tui.wording import PROGRAM, STEPS


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


class Trail(Painted):
    """The trail at the left, the program's name at the right."""

    def __init__(self, here: int, signs: Signs) -> None:
        super().__init__(id="trail")
        self._spans = trail_spans(here, signs)

    def row(self, y: int) -> Sequence[Span]:
        """The only row."""
        used = sum(len(span.text) for span in self._spans) + 1
        room = self.size.width - used - len(PROGRAM) - 1
        name = Span(" " * room + PROGRAM, "quiet") if room > 1 else Span("", "quiet")
        return [Span(" ", "blank"), *self._spans, name]
