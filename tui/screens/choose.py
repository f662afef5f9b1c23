"""Which recording shall be played, or played in step with those that are chosen already."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from tui import wording
from tui import wording_lesson as words
from tui.messages import FolderRead
from tui.safe_text import clean
from tui.screens.frame import FrameScreen
from tui.widgets.menu import Entry, Menu


class ChooseScreen(FrameScreen):
    """Choose a recording to play."""

    ABOUT = "choose"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "back", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self, chosen: tuple[Path, ...] = ()) -> None:
        super().__init__()
        self._chosen = chosen

    def parts(self) -> Iterable[Widget]:
        """The list."""
        yield Menu(self.bench_app.signs, id="recordings")

    def on_mount(self) -> None:
        """Look into the folders."""
        self.ask(words.CHOOSE_ANOTHER if self._chosen else words.CHOOSE_QUESTION)
        self.query_one(Menu).focus()
        folder = self.bench_app.bench.directory
        self.background(lambda: recordings_in(folder))

    def on_folder_read(self, message: FolderRead) -> None:
        """Show what can be chosen still."""
        own, demo = (tuple(p for p in paths if p not in self._chosen) for paths in (message.own, message.demo))
        folder = clean(str(self.bench_app.bench.directory))
        self.query_one(Menu).fill(entries(FolderRead(own, demo), folder))

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Play it."""
        self.bench_app.go("show", (*self._chosen, Path(message.key)))

    def action_back(self) -> None:
        """Back to what is chosen already."""
        if self._chosen:
            self.bench_app.go("show", self._chosen)
        else:
            self.bench_app.go("lesson")


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
    from recordings.format import SUFFIX
    from tui.library.index import demo_folder, listed

    own, demo = (listed(one).stamps for one in (folder, demo_folder()))
    return FolderRead(*(tuple(Path(path) for path in paths if path.endswith(SUFFIX)) for paths in (own, demo)))
