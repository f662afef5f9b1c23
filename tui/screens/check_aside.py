"""Why the strand that was pulled last does not count."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui import wording_check as words
from tui.check.card import Card
from tui.check.course import set_aside
from tui.screens.check_frame import CheckScreen
from tui.widgets.menu import Entry, Menu


class CheckAsideScreen(CheckScreen):
    """Choose a reason; `suggested` is what the recording shows, "" where it shows none."""

    STEP = 2
    ABOUT = "check_aside"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f2", "app.go('check_strands')", wording.BACK)]

    def __init__(self, suggested: str = "") -> None:
        super().__init__()
        self._suggested = suggested

    def parts(self) -> Iterable[Widget]:
        """The reasons, the likeliest first."""
        yield Static(words.ASIDE_ABOUT, classes="remark", markup=False)
        keys = sorted(words.ASIDE_REASONS, key=lambda key: key != self._suggested)
        yield Menu(self.bench_app.signs, [self._entry(key) for key in keys], id="reasons")

    def _entry(self, key: str) -> Entry:
        return Entry(key, words.ASIDE_REASONS[key], words.ASIDE_SUGGESTED if key == self._suggested else "")

    def on_mount(self) -> None:
        """Say which strand it is about."""
        last = self.check.last
        assert last is not None
        self.ask(words.ASIDE_QUESTION.format(number=last.strand))
        self.query_one(Menu).focus()

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Set the strand aside and go on."""
        reason = words.ASIDE_REASONS[message.key]

        def aside(card: Card) -> Card:
            assert card.check is not None
            return replace(card, check=set_aside(card.check, reason))

        if self.change(aside):
            self.bench_app.go("check_strands")
