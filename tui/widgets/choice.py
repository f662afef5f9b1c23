"""One of a few words, all in sight where there is room: moved along with the arrow keys or the space bar."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message

from tui.widgets.cells import Span
from tui.widgets.painted import Painted
from tui.widgets.signs import Signs


def choice_spans(options: Sequence[str], here: int, width: int, signs: Signs, *, focused: bool) -> list[Span]:
    """All options with the chosen one marked; where that is too long the chosen one between arrows."""
    spans: list[Span] = []
    for number, option in enumerate(options):
        mark = signs.dot if number == here else signs.ring
        role = ("chosen" if focused else "strong") if number == here else "quiet"
        spans += [Span(f" {mark} {option} ", role), Span(" ", "blank")]
    if sum(len(span.text) for span in spans) <= width:
        return spans
    role = "chosen" if focused else "strong"
    text = f" {signs.arrow_left} {options[here]} {signs.arrow_right} "
    return [Span(text, role), Span(f"  {here + 1} of {len(options)}", "quiet")]


class Choice(Painted, can_focus=True):
    """The choice on the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "step(1)", "Choose", key_display="← →"),
        Binding("left", "step(-1)", "Choose", show=False),
        Binding("space", "step(1)", "Choose", show=False),
    ]

    class Changed(Message):
        """Another option was chosen."""

        def __init__(self, choice: Choice) -> None:
            super().__init__()
            self.choice = choice

    def __init__(self, options: Sequence[str], signs: Signs, *, here: int = 0, id: str | None = None) -> None:
        super().__init__(id=id)
        self._options = tuple(options)
        self._signs = signs
        self._here = here

    @property
    def number(self) -> int:
        """Which option is chosen, counted from 0."""
        return self._here

    @property
    def value(self) -> str:
        """The option that is chosen."""
        return self._options[self._here]

    def action_step(self, step: int) -> None:
        """Go on to another option, round and round."""
        self._here = (self._here + step) % len(self._options)
        self.refresh()
        self.post_message(self.Changed(self))

    def on_click(self, event: events.Click) -> None:
        """Go on to the next option."""
        self.action_step(1)

    def watch_has_focus(self, _focused: bool) -> None:
        """The chosen option stands out where the keyboard is."""
        super().watch_has_focus(_focused)
        self.refresh()

    def row(self, y: int) -> Sequence[Span]:
        """The only row."""
        return choice_spans(self._options, self._here, self.size.width, self._signs, focused=self.has_focus)
