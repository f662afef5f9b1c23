"""Who may look on in a browser: nobody, this computer, or the class's machines with the word that stands here."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui import wording_page as words
from tui.classroom.server import EVERYWHERE, THIS_COMPUTER, USUAL_PORT, ClassPage
from tui.failure import CommandError
from tui.screens.frame import FrameScreen
from tui.widgets.link_status import RigState
from tui.widgets.menu import Entry, Menu

HERE, NETWORK, NOBODY = "here", "network", "nobody"


class SharingScreen(FrameScreen):
    """Open and close the class's page."""

    QUESTION = words.SHARE_QUESTION
    CSS_PATH = "sharing.tcss"
    ABOUT = "sharing"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "app.go('lesson')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The choice, and what the class needs to know, large."""
        yield Menu(self.bench_app.signs, id="sharing")
        yield Static("", id="where", markup=False)
        yield Static("", id="word", markup=False)
        yield Static("", id="onlookers", markup=False)

    def on_mount(self) -> None:
        """Show how it stands."""
        self.query_one(Menu).focus()
        self._draw()

    def show_rig(self, state: RigState, *, stopping: bool) -> None:
        """Count anew who looks on."""
        super().show_rig(state, stopping=stopping)
        page = self.bench_app.class_page
        for found in self.query("#onlookers").results(Static):
            found.update(words.SHARE_COUNT.format(count=page.onlookers) if page is not None else "")

    def _draw(self) -> None:
        page = self.bench_app.class_page
        entries = [
            Entry(HERE, words.SHARE_HERE, words.SHARE_HERE_ABOUT),
            Entry(NETWORK, words.SHARE_NETWORK, words.SHARE_NETWORK_ABOUT),
        ]
        if page is not None:
            entries.append(Entry(NOBODY, words.SHARE_STOP, words.SHARE_STOP_ABOUT))
        self.query_one(Menu).fill(entries)
        self.query_one("#where", Static).update(f"{words.SHARE_AT}  {page.url}" if page is not None else "")
        word = page.word if page is not None else ""
        self.query_one("#word", Static).update(f"{words.SHARE_WORD}  {word}" if word else "")
        self.tell(words.SHARE_PLAIN if word else "")

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Open the page for those who were chosen, instead of the one before."""
        app = self.bench_app
        app.close_class_page()
        if message.key != NOBODY:
            host = THIS_COMPUTER if message.key == HERE else EVERYWHERE
            try:
                app.class_page = open_page(app.bench.directory, host)
            except CommandError as problem:
                self.tell(str(problem), bad=True)
                return
        self._draw()
        if message.key == NOBODY:
            self.tell(words.SHARE_CLOSED)
        app.look()


def open_page(folder: Path, host: str) -> ClassPage:
    """The page at its usual port, or at any other where that one is taken. Raises CommandError."""
    try:
        return ClassPage(folder, host, USUAL_PORT)
    except CommandError:
        return ClassPage(folder, host, 0)
