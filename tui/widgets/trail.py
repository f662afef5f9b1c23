"""The top row of the screen: the way from the rig to the result, and the name of the program."""

from __future__ import annotations

from collections.abc import Sequence

from tui.widgets.cells import Span
from tui.widgets.painted import Painted
from tui.widgets.signs import Signs
from tui.widgets.trail_text import trail_spans
from tui.wording import PROGRAM, STEPS


class Trail(Painted):
    """The trail at the left, the program's name at the right."""

    def __init__(self, here: int, signs: Signs, steps: Sequence[str] = STEPS) -> None:
        super().__init__(id="trail")
        self._spans = trail_spans(here, signs, steps)

    def row(self, y: int) -> Sequence[Span]:
        """The only row."""
        used = sum(len(span.text) for span in self._spans) + 1
        room = self.size.width - used - len(PROGRAM) - 1
        name = Span(" " * room + PROGRAM, "quiet") if room > 1 else Span("", "quiet")
        return [Span(" ", "blank"), *self._spans, name]
