"""The recordings: found as you type, marked, compared, tagged, exported; tables of other programs are imported."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui import wording_library as words
from tui.safe_text import clean
from tui.screens.frame import FrameScreen
from tui.widgets.field import Field
from tui.widgets.menu import Entry, Menu

if TYPE_CHECKING:
    from tui.library.search import Found
    from tui.library.view import Shelves, View


class ShelvesRead(Message, bubble=False):
    """More is known of the recordings."""

    def __init__(self, shelves: Shelves) -> None:
        super().__init__()
        self.shelves = shelves

    def can_replace(self, message: Message) -> bool:
        """A newer one knows all that this one does."""
        return isinstance(message, ShelvesRead)


class LibraryScreen(FrameScreen):
    """Choose a recording."""

    QUESTION = wording.LIBRARY_QUESTION
    CSS_PATH = "library.tcss"
    ABOUT = "library"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", words.OPEN),
        Binding("f4", "filter", words.FILTER),
        Binding("f6", "mark", words.MARK),
        Binding("f7", "compare", words.COMPARE),
        Binding("f8", "tags", words.TAGS),
        Binding("f9", "export", words.EXPORT),
        Binding("f10", "app.go('import_file')", words.IMPORT),
        Binding("f2", "app.go('start')", wording.BACK),
        Binding("f5", "anew", words.ANEW),
        Binding("down", "point(1)", wording.CHOOSE, show=False),
        Binding("up", "point(-1)", wording.CHOOSE, show=False),
        Binding("pagedown", "point(10)", show=False),
        Binding("pageup", "point(-10)", show=False),
        Binding("ctrl+home", "point(-1000000)", show=False),
        Binding("ctrl+end", "point(1000000)", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._over = threading.Event()

    @property
    def view(self) -> View:
        """What was found, searched for and marked."""
        return self.bench_app.library

    def parts(self) -> Iterable[Widget]:
        """What to search for, what there is of it, and the list."""
        yield Field("search", words.SEARCH, words.SEARCH_HINT, self.view.query)
        yield Static("", id="count", markup=False)
        yield Menu(self.bench_app.signs, id="recordings")

    def on_mount(self) -> None:
        """Look into the folders."""
        self.query_one("#search", Field).input.focus()
        self._fill()
        self._read(anew=False)

    def on_unmount(self) -> None:
        """Nobody looks any more: what is known is kept, the rest is worked out the next time."""
        self._over.set()

    def _read(self, *, anew: bool) -> None:
        folder, over = self.bench_app.bench.directory, self._over

        def work() -> None:
            from tui.library.view import read_shelves

            for shelves in read_shelves(folder, over.is_set, anew=anew):
                self.post_message(ShelvesRead(shelves))

        self.background(work)

    def on_shelves_read(self, message: ShelvesRead) -> None:
        """Show what is known now."""
        self.view.shelves = message.shelves
        self._fill()
        problem = message.shelves.problem
        if problem:
            self.tell(problem, bad=True)
        elif not message.shelves.own:
            self.tell(wording.LIBRARY_EMPTY)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Search as it is typed."""
        if event.value.strip() != self.view.query:
            self.view.query = event.value.strip()
            self._fill()

    def _fill(self) -> None:
        own, demo = self.view.shown()
        folder = clean(str(self.bench_app.bench.directory))
        self.query_one("#recordings", Menu).fill(
            [*self._part(wording.LIBRARY_OWN.format(folder=folder), own), *self._part(wording.LIBRARY_DEMO, demo)]
        )
        self.query_one("#count", Static).update(self._count(len(own) + len(demo)))

    def _part(self, title: str, found: list[Found]) -> list[Entry]:
        from tui.library.view import entry_of

        marked, signs = set(self.view.marked), self.bench_app.signs
        entries = [entry_of(one, f"{signs.dot} " if one.item.path in marked else "") for one in found]
        return [Entry("", title, heading=True), *entries] if entries else []

    def _count(self, shown: int) -> str:
        shelves = self.view.shelves
        if self.view.query and not shown:
            return words.NOTHING_FITS
        parts = [words.COUNT_SOME.format(shown=shown, count=len(shelves.all))]
        parts += [words.COUNT_MARKED.format(marked=len(self.view.marked))] if self.view.marked else []
        parts += [words.WAITING.format(waiting=shelves.waiting)] if shelves.waiting else []
        return "   ".join(parts)

    @property
    def _here(self) -> str:
        """The path under the pointer; "" where there is none."""
        here = self.query_one("#recordings", Menu).here
        return here.key if here is not None else ""

    def action_point(self, step: int) -> None:
        """Move the pointer in the list."""
        self.query_one("#recordings", Menu).action_move(step)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter opens from the search too."""
        self.action_open()

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """A click opens."""
        self.action_open()

    def action_open(self) -> None:
        """Look at the recording under the pointer; its result is worked out anew."""
        if self._here:
            self.bench_app.go("result", Path(self._here))

    def action_anew(self) -> None:
        """Look into the folders again, and work all results out anew."""
        self._over.set()
        self._over = threading.Event()
        self._read(anew=True)

    def action_filter(self) -> None:
        """Choose a field and a value to search for."""
        self.bench_app.go("library_filter")

    def action_mark(self) -> None:
        """Mark the recording under the pointer, and go on to the next."""
        if self._here:
            self.view.mark(self._here)
            self._fill()
            self.action_point(1)

    def action_compare(self) -> None:
        """Lay the two that are marked beside each other."""
        if len(self.view.marked) != 2:
            self.tell(words.MARK_TWO, bad=True)
            return
        self.bench_app.go("library_pair", *map(Path, self.view.marked))

    def action_tags(self) -> None:
        """Give the recording under the pointer tags."""
        if self._here:
            self.bench_app.go("library_tags", Path(self._here))

    def action_export(self) -> None:
        """Export what is marked, or else all that is shown."""
        if self.view.chosen():
            self.bench_app.go("library_export")
        else:
            self.tell(words.EXPORT_NONE, bad=True)
