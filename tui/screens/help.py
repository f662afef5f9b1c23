"""What the screen behind it is for, and what its keys do."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from tui import wording, wording_help
from tui.screens.frame import FrameScreen
from tui.widgets.key_line import shown_keys


class HelpScreen(FrameScreen):
    """Explain a screen."""

    CSS_PATH = "help.tcss"
    QUESTION = wording.HELP_QUESTION
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2,enter,q", "app.pop_screen", wording.BACK),
    ]

    def __init__(self, explained: FrameScreen) -> None:
        super().__init__()
        self._about = wording_help.ABOUT[explained.ABOUT]
        self._keys = shown_keys(explained)

    def parts(self) -> Iterable[Widget]:
        """The explanation, then the keys."""
        with VerticalScroll(id="help", classes="scrolled"):
            yield Static(self._about, markup=False)
            yield Static("\n".join(f"{key:>12}  {does}" for key, does in self._keys), classes="keys", markup=False)
            yield Static(f"{wording.KEY_STOP:>12}  {wording.STOP_STILL}", markup=False)

    def on_mount(self) -> None:
        """Let the arrow keys scroll."""
        self.query_one("#help").focus()
