"""A list to choose one entry from, by arrow keys, first letters or mouse; as quick with ten thousand entries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message

from tui.widgets.cells import Span
from tui.widgets.painted import Painted
from tui.widgets.signs import Signs

#: Stands for the rest of a text that was cut.
MORE = "…"

#: Cells between an entry's title and what is said about it.
GAP = 3


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: what it is known by, and what is shown of it (clean text). A heading can't be chosen."""

    key: str
    title: str
    about: str = ""
    heading: bool = False


def entry_spans(entry: Entry, title_width: int, width: int, pointer: str, *, here: bool) -> list[Span]:
    """One entry as a row, cut to `width`."""
    if entry.heading:
        return [Span(f" {entry.title}"[:width], "quiet")]
    lead = f" {pointer if here else ' '} "
    title = entry.title.ljust(title_width)[: max(width - 3, 0)]
    about = " " * GAP + _cut(entry.about, width - 3 - len(title) - GAP)
    if here:
        return [Span(f"{lead}{title}{about}".ljust(width), "chosen")]
    return [Span(lead, "blank"), Span(title, "text"), Span(about, "quiet")]


def _cut(text: str, room: int) -> str:
    """A text as far as there is room, with a sign where something is missing."""
    if len(text) <= room:
        return text
    return f"{text[: room - 1]}{MORE}" if room > 0 else ""


class Menu(Painted, can_focus=True):
    """The list on the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "choose", "Choose"),
        Binding("up", "move(-1)", "Choose", show=False),
        Binding("down", "move(1)", "Choose", show=False),
        Binding("pageup", "move(-10)", "Further up", show=False),
        Binding("pagedown", "move(10)", "Further down", show=False),
        Binding("home", "move(-1000000)", "First", show=False),
        Binding("end", "move(1000000)", "Last", show=False),
    ]

    class Chosen(Message):
        """An entry was chosen."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key

    def __init__(self, signs: Signs, entries: Sequence[Entry] = (), *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._pointer = signs.arrow_right
        self._first = 0
        self._here = 0
        self._entries: Sequence[Entry] = ()
        self._title_width = 0
        self.fill(entries)

    @property
    def here(self) -> Entry | None:
        """The entry under the pointer."""
        return self._entries[self._here] if self._entries else None

    def fill(self, entries: Sequence[Entry]) -> None:
        """Show other entries; the pointer stays on the entry of the same key where there is one."""
        before = self.here.key if self.here else None
        self._entries = entries
        self._title_width = max((len(entry.title) for entry in entries if not entry.heading), default=0)
        choices = [index for index, entry in enumerate(entries) if not entry.heading]
        same = [index for index in choices if entries[index].key == before]
        self._here = (same or choices or [0])[0]
        self._keep_in_sight()
        self.refresh(layout=True)

    def action_move(self, step: int) -> None:
        """Move the pointer, over headings, and no further than the ends."""
        choices = [index for index, entry in enumerate(self._entries) if not entry.heading]
        if choices:
            place = choices.index(self._here) + step
            self._point_at(choices[min(max(place, 0), len(choices) - 1)])

    def action_choose(self) -> None:
        """Choose the entry under the pointer."""
        if self.here is not None and not self.here.heading:
            self.post_message(self.Chosen(self.here.key))

    def _point_at(self, index: int) -> None:
        self._here = index
        self._keep_in_sight()
        self.refresh()

    def _keep_in_sight(self) -> None:
        height = max(self.size.height, 1)
        lowest_first = self._here - height + 1
        # A heading just above the pointer is shown with it.
        highest_first = self._here - 1 if self._here and self._entries[self._here - 1].heading else self._here
        self._first = min(max(self._first, lowest_first, 0), highest_first)

    def on_resize(self) -> None:
        """Keep the pointer in sight at any size."""
        self._keep_in_sight()

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """As many rows as entries; the style sheet says how many at most."""
        return max(len(self._entries), 1)

    def row(self, y: int) -> Sequence[Span]:
        """One row of the list."""
        index = self._first + y
        if index >= len(self._entries):
            return []
        here = index == self._here
        return entry_spans(self._entries[index], self._title_width, self.size.width, self._pointer, here=here)

    def on_key(self, event: events.Key) -> None:
        """Jump to the next entry that begins with a letter."""
        letter = event.character
        if letter is None or not letter.isalnum():
            return
        count = len(self._entries)
        for index in (*range(self._here + 1, count), *range(self._here + 1)):
            entry = self._entries[index]
            if not entry.heading and entry.title.lower().startswith(letter.lower()):
                event.stop()
                self._point_at(index)
                return

    def on_mouse_scroll_down(self) -> None:
        """Move down."""
        self.action_move(1)

    def on_mouse_scroll_up(self) -> None:
        """Move up."""
        self.action_move(-1)

    def on_click(self, event: events.Click) -> None:
        """Point at the entry under the mouse; choose it where the pointer is there already."""
        index = self._first + event.y
        if index < len(self._entries) and not self._entries[index].heading:
            if index == self._here:
                self.action_choose()
            else:
                self._point_at(index)
