"""The card of tests before a chemical service: what is done, what runs, what is open or expired."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from tui import wording_card as words
from tui.check.rules import RULES, Kind, Stage
from tui.check.standing import Standing, TestState, standing
from tui.check.times import left, shortly, when
from tui.check.under_way import has_open_check
from tui.safe_text import clean
from tui.screens.check_frame import CheckScreen
from tui.widgets.menu import Entry, Menu
from tui.widgets.verdict_card import Card as Verdict
from tui.widgets.verdict_card import VerdictCard

#: How often what runs is shown anew [s].
TICK_S = 1.0


class CardScreen(CheckScreen):
    """Show a card; choose a test to record."""

    STEP = 5
    ABOUT = "card"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f6", "save_page", words.CARD_PAGE),
        Binding("f2", "app.go('check')", words.CARD_MENU),
    ]

    def __init__(self, said: str = "") -> None:
        super().__init__()
        self._said = said
        self._shown: Standing | None = None
        self._entries: list[Entry] = []

    def parts(self) -> Iterable[Widget]:
        """The card in a few words, its tests, its open points, what comes before it."""
        yield VerdictCard(bar=self.bench_app.signs.bar, id="standing")
        yield Menu(self.bench_app.signs, id="card-tests")
        with VerticalScroll(id="card-points", can_focus=False):
            yield Static("", classes="told-words", id="card-open", markup=False)

    def on_mount(self) -> None:
        """Show it, and keep what runs up to date."""
        self.ask(words.CARD_QUESTION.format(reference=self.card.reference))
        self.tell(self._said)
        self.query_one(Menu).focus()
        self._show()
        self.set_interval(TICK_S, self._show)

    def _show(self) -> None:
        """Draw what has changed."""
        moment = self.desk.clock()
        stands = standing(self.card, moment)
        entries = [Entry(test.kind.value, test.name, self._about(test)) for test in stands.tests]
        if entries != self._entries:
            self._entries = entries
            self.query_one(Menu).fill(entries)
        if stands != self._shown:
            self._shown = stands
            self.query_one(VerdictCard).show(self._verdict(stands))
            self.query_one("#card-open", Static).update(_points(stands))

    def _verdict(self, stands: Standing) -> Verdict:
        card = self.card
        history = clean(card.history, 60) or words.NOT_SAID
        about = words.CARD_ABOUT.format(when=when(card.opened), by=clean(card.by, 20), history=history)
        sign, role = ("✘", "bad") if stands.stopped else ("○", "unsure") if stands.points else ("–", "quiet")
        return Verdict(sign, stands.headline, role, about)

    def _about(self, test: TestState) -> str:
        """A test in a line."""
        sign = words.STATE_SIGNS[test.stage.value]
        told = [sign if test.stage is Stage.STOP else f"{sign} {test.state}"]
        check = self.card.check
        if test.kind is Kind.ELASTICITY and check is not None and has_open_check(self.card):
            told = [f"{sign} {words.CHECK_UNDER_WAY.format(done=len(check.counting), planned=len(check.planned))}"]
        one = test.round
        if test.stage is Stage.RUNNING and one is not None and one.started is not None:
            told.append(words.TIMER.format(left=left(_readable_at(test), self.desk.clock())))
        else:
            at = shortly(test.at, self.desk.clock()) if test.at else ""
            told += [part for part in (clean(test.outcome), at, clean(test.by, 20)) if part]
        return ", ".join(told).replace(f"{sign}, ", f"{sign} ", 1)

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Go to the test."""
        self.bench_app.go("card_test", Kind(message.key))


def _readable_at(test: TestState) -> datetime:
    assert test.round is not None
    assert test.round.started is not None
    return RULES[test.kind].readable_at(test.round.started)


def _points(stands: Standing) -> str:
    """The open points, the cautions, and what comes before the card."""
    points = [f"• {point}" for point in stands.points] or [words.HEADLINE_NONE_MORE]
    cautions = [f"! {caution}" for caution in words.CARD_CAUTIONS]
    return "\n".join((words.HEAD_OPEN, *points, "", *cautions, "", words.CARD_DEFERENCE))
