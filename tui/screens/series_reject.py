"""Why the last pull does not count: one of the usual reasons, or one that is typed."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_lab as words
from tui.lab.plan import reject
from tui.safe_text import clean
from tui.screens.series_frame import SeriesFrame
from tui.widgets.field import Field
from tui.widgets.menu import Entry, Menu

#: Key of the entry that lets the person type.
OWN = "own"


class RejectingScreen(SeriesFrame):
    """A screen that takes a reason."""

    STEP = 4

    def reject(self, reason: str) -> None:
        """The last pull does not count; back to the series."""
        problem = self.change(partial(reject, reason=reason))
        if problem is not None:
            self.bench_app.go("series", problem, words.REJECTED.format(reason=reason))


class SeriesRejectScreen(RejectingScreen):
    """Choose a reason."""

    QUESTION = words.REJECT_QUESTION
    ABOUT = "series_reject"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "app.go('series')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The list."""
        usual = [Entry(reason, reason) for reason in words.REASONS]
        yield Menu(self.bench_app.signs, [*usual, Entry(OWN, words.REASON_OWN, words.REASON_OWN_ABOUT)])

    def on_mount(self) -> None:
        """Begin with the list."""
        self.query_one(Menu).focus()

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Take the reason, or ask for one."""
        if message.key == OWN:
            self.bench_app.go("series_reason")
        else:
            self.reject(message.key)


class SeriesReasonScreen(RejectingScreen):
    """Type a reason."""

    QUESTION = words.REASON_QUESTION
    ABOUT = "series_reject"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", words.REJECT),
        Binding("f2", "app.go('series_reject')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """The line to type into."""
        yield Field("reason", words.REASON_LABEL, words.REASON_HINT, check=problem)

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take it."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Take the reason."""
        field = self.query_one(Field)
        if field.judge():
            self.reject(clean(field.value))


def problem(text: str) -> str:
    """What is wrong with a reason."""
    return "" if clean(text) else words.REASON_EMPTY
