"""Some of a few words, each taken or left: moved along with the arrow keys, taken or left with the space bar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message

from tui.widgets.cells import Span
from tui.widgets.painted import Painted
from tui.widgets.signs import Signs
from tui.wording_check import TOGGLE


def several_rows(
    options: Sequence[str], taken: frozenset[int], here: int | None, width: int, signs: Signs
) -> list[list[Span]]:
    """The options with their marks, in as many rows as they need; `here` is where the keyboard is."""
    rows: list[list[Span]] = [[]]
    used = 0
    for number, option in enumerate(options):
        text = f" {signs.dot if number in taken else signs.ring} {option} "
        if used and used + len(text) > width:
            rows.append([])
            used = 0
        role = "chosen" if number == here else "strong" if number in taken else "quiet"
        rows[-1] += [Span(text, role), Span(" ", "blank")]
        used += len(text) + 1
    return rows


class Several(Painted, can_focus=True):
    """The options on the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "take_or_leave", TOGGLE),
        Binding("right", "move(1)", "Choose", show=False),
        Binding("left", "move(-1)", "Choose", show=False),
    ]

    class Changed(Message):
        """Something was taken or left."""

    def __init__(
        self, options: Sequence[str], taken: Iterable[str], signs: Signs, *, id: str | None = None
    ) -> None:
        super().__init__(id=id, classes="several")
        self._options, self._signs = tuple(options), signs
        self._taken = frozenset(self._options.index(one) for one in taken if one in self._options)
        self._here = 0

    @property
    def taken(self) -> tuple[str, ...]:
        """What is taken, in the order in which it stands."""
        return tuple(option for number, option in enumerate(self._options) if number in self._taken)

    def action_take_or_leave(self) -> None:
        """Take or leave what is pointed at."""
        self._taken ^= {self._here}
        self.refresh()
        self.post_message(self.Changed())

    def action_move(self, step: int) -> None:
        """Point at another one, round and round."""
        self._here = (self._here + step) % len(self._options)
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        """Point at the next and take or leave it: the space bar of the mouse."""
        self.action_take_or_leave()
        self.action_move(1)

    def watch_has_focus(self, _focused: bool) -> None:
        """What is pointed at stands out where the keyboard is."""
        super().watch_has_focus(_focused)
        self.refresh()

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """The rows that are needed."""
        return len(several_rows(self._options, self._taken, None, width, self._signs))

    def row(self, y: int) -> Sequence[Span]:
        """One row."""
        here = self._here if self.has_focus else None
        rows = several_rows(self._options, self._taken, here, self.size.width, self._signs)
        return rows[y] if y < len(rows) else []
