"""Whose hair it is, by a code, who tests it, and what the hair went through."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_check as words
from tui.check.card import Card
from tui.check.codes import key_of, person_problem, reference_problem
from tui.check.shelf import newest_of
from tui.check.times import when
from tui.check.under_way import has_open_check
from tui.safe_text import clean
from tui.screens.check_frame import CheckScreen
from tui.strand_form import LONGEST, text_problem
from tui.widgets.field import Field


class CheckClientScreen(CheckScreen):
    """Open a card."""

    STEP = 0
    QUESTION = words.CLIENT_QUESTION
    ABOUT = "check_client"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("f4", "new_card", words.CLIENT_NEW_CARD),
        Binding("down", "app.focus_next", wording.STRAND_MOVE, key_display="↑ ↓"),
        Binding("up", "app.focus_previous", wording.STRAND_MOVE, show=False),
        Binding("f2", "app.go('check')", wording.BACK),
    ]

    def __init__(self) -> None:
        super().__init__()
        #: The client's card of earlier, once it was said that there is one.
        self._told: Card | None = None

    def parts(self) -> Iterable[Widget]:
        """The form."""
        with VerticalScroll(id="form", can_focus=False):
            yield Field("reference", words.CLIENT_REFERENCE, words.CLIENT_REFERENCE_HINT, check=reference_problem)
            yield Field("by", words.CLIENT_BY, words.CLIENT_BY_HINT, self.desk.by, person_problem)
            yield Field("history", words.CLIENT_HISTORY, words.CLIENT_HISTORY_HINT, check=text_problem)

    def on_mount(self) -> None:
        """Begin at the top."""
        self.query_one("#reference", Field).input.focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A new card for a known client only where it was said that there is one."""
        return self._told is not None if action == "new_card" else True

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on from every line."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Go on where nothing is wrong: with the card there is, or to the plan of a new one."""
        if not self._judged():
            return
        reference = self._value("reference")
        if self._told is not None and key_of(self._told.reference) == key_of(reference):
            self._take(self._told)
            return
        self._told = newest_of(reference)
        self.refresh_bindings()
        if self._told is None:
            self._open()
        else:
            opened = when(self._told.opened)
            self.tell(words.CLIENT_KNOWN.format(reference=clean(self._told.reference), when=opened))

    def action_new_card(self) -> None:
        """A new card, though there is one."""
        if self._judged():
            self._open()

    def _judged(self) -> bool:
        wrong = [field for field in self.query(Field) if not field.judge()]
        if wrong:
            wrong[0].input.focus()
            self.tell(wording.STRAND_FIX, bad=True)
        return not wrong

    def _value(self, field: str) -> str:
        return clean(self.query_one(f"#{field}", Field).value, LONGEST)

    def _take(self, card: Card) -> None:
        self.desk.by = self._value("by")
        self.desk.take(card)
        self.bench_app.go("check_strands" if has_open_check(card) else "card")

    def _open(self) -> None:
        """Open a card and keep it."""
        self.desk.by = self._value("by")
        card = Card(self._value("reference"), self.desk.clock(), self.desk.by, self._value("history"))
        problem = self.desk.open(card)
        self.bench_app.go("check_plan", problem)
