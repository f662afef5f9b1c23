"""The recordings: those of the person's own folder, and the demonstration ones."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from tui import wording
from tui.messages import FolderRead
from tui.safe_text import clean
from tui.screens.frame import FrameScreen
from tui.widgets.menu import Entry, Menu


class LibraryScreen(FrameScreen):
    """Choose a recording."""

    QUESTION = wording.LIBRARY_QUESTION
    ABOUT = "library"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f5", "look_again", wording.CONNECT_REFRESH),
        Binding("f2", "app.go('start')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The list."""
        yield Menu(self.bench_app.signs, id="recordings")

    def on_mount(self) -> None:
        """Look into the folders."""
        self.query_one(Menu).focus()
        self.action_look_again()

    def action_look_again(self) -> None:
        """List the recordings anew."""
        folder = self.bench_app.bench.directory
        self.background(lambda: recordings_in(folder))

    def on_folder_read(self, message: FolderRead) -> None:
        """Show the recordings."""
        folder = clean(str(self.bench_app.bench.directory))
        self.query_one(Menu).fill(entries(message, folder))
        self.tell("" if message.own else wording.LIBRARY_EMPTY)

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Look at a recording."""
        self.bench_app.go("result", Path(message.key))


def entries(found: FolderRead, folder: str) -> list[Entry]:
    """Own recordings, the newest first, then the demonstration ones."""
    own = [Entry("", wording.LIBRARY_OWN.format(folder=folder), heading=True), *map(_entry, found.own)]
    demo = [Entry("", wording.LIBRARY_DEMO, heading=True), *map(_entry, found.demo)]
    return (own if found.own else []) + (demo if found.demo else [])


def _entry(path: Path) -> Entry:
    from recordings.format import SUFFIX

    return Entry(str(path), clean(path.name.removesuffix(SUFFIX)))


def recordings_in(folder: Path) -> FolderRead:
    """The recordings of a folder, the newest first, and the demonstration ones. Blocks."""
    from importlib import resources

    from recordings.format import SUFFIX

    own = sorted(folder.glob(f"*{SUFFIX}"), key=lambda path: path.name, reverse=True) if folder.is_dir() else []
    demo = Path(str(resources.files("recordings.demo")))
    return FolderRead(tuple(own), tuple(sorted(demo.rglob(f"*{SUFFIX}"))))
