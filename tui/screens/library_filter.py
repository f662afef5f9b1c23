"""Which recordings to see: every field with the values that occur, and how many have them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from tui import wording
from tui import wording_library as words
from tui.library.search import matching, values_of, with_word
from tui.screens.frame import FrameScreen
from tui.widgets.menu import Entry, Menu

#: Stands between field and value in the key of an entry.
BETWEEN = "\n"


class LibraryFilterScreen(FrameScreen):
    """Choose what to see."""

    QUESTION = words.FILTER_QUESTION
    ABOUT = "library_filter"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "app.go('library')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The list."""
        yield Menu(self.bench_app.signs, self._entries(), id="values")

    def on_mount(self) -> None:
        """Begin with the list."""
        self.query_one(Menu).focus()

    def _entries(self) -> list[Entry]:
        view = self.bench_app.library
        entries = [Entry("", words.FILTER_ALL, words.FILTER_ALL_ABOUT)]
        found = values_of(matching(view.shelves.all, view.query))
        for field, values in groupby(found, key=lambda one: one[0]):
            entries.append(Entry(field, words.FILTER_FIELDS[field], heading=True))
            entries += [Entry(f"{field}{BETWEEN}{value}", value, _counted(count)) for _, value, count in values]
        return entries

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Search for it, on top of what was searched for."""
        view = self.bench_app.library
        field, _, value = message.key.partition(BETWEEN)
        view.query = with_word(view.query, field, value) if field else ""
        self.bench_app.go("library")


def _counted(count: int) -> str:
    return words.FILTER_COUNT_ONE if count == 1 else words.FILTER_COUNT.format(count=count)
