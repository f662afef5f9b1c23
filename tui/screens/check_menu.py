"""The cards: a new one, those with something under way, and the others."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widget import Widget

from tui import wording, wording_card, wording_check
from tui.check.card import Card
from tui.check.shelf import Shelf, all_cards, name_of
from tui.check.standing import standing
from tui.check.times import when
from tui.check.under_way import has_open_check, waiting_tests
from tui.safe_text import clean
from tui.screens.check_frame import CheckScreen
from tui.widgets.menu import Entry, Menu

#: Key of the entry for a new card; the others' keys are the names of their files.
NEW = "new"


class CardsRead(Message, bubble=False):
    """The cards were read."""

    def __init__(self, shelf: Shelf) -> None:
        super().__init__()
        self.shelf = shelf


class CheckMenuScreen(CheckScreen):
    """Choose a card."""

    STEP = 0
    QUESTION = wording_check.MENU_QUESTION
    ABOUT = "check"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f2", "app.go('start')", wording.BACK)]

    def __init__(self) -> None:
        super().__init__()
        self._cards: dict[str, Card] = {}

    def parts(self) -> Iterable[Widget]:
        """The list."""
        yield Menu(self.bench_app.signs, entries((), self.desk.clock()), id="cards")

    def on_mount(self) -> None:
        """Read the cards."""
        self.query_one(Menu).focus()
        self.background(lambda: CardsRead(all_cards()))

    def on_cards_read(self, message: CardsRead) -> None:
        """Show them."""
        self._cards = {name_of(card): card for card in message.shelf.cards}
        self.query_one(Menu).fill(entries(message.shelf.cards, self.desk.clock()))
        self.tell(" ".join(message.shelf.problems), bad=bool(message.shelf.problems))

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Go on with a card, or to a new one."""
        if message.key == NEW:
            self.bench_app.go("check_client")
            return
        card = self._cards[message.key]
        self.desk.take(card)
        if has_open_check(card):
            self.bench_app.go("check_strands", True)
        else:
            self.bench_app.go("card")


def entries(cards: Sequence[Card], moment: datetime) -> list[Entry]:
    """A new card first, then those that wait for somebody, then the others."""
    waiting = [card for card in cards if has_open_check(card) or waiting_tests(card, moment)]
    others = [card for card in cards if card not in waiting]
    found = [Entry(NEW, wording_check.MENU_NEW, wording_check.MENU_NEW_ABOUT)]
    for heading, some in ((wording_check.MENU_GOES_ON, waiting), (wording_check.MENU_OTHERS, others)):
        if some:
            found.append(Entry("", heading, heading=True))
            found += [Entry(name_of(card), clean(card.reference, 24), about(card, moment)) for card in some]
    return found


def about(card: Card, moment: datetime) -> str:
    """What waits about a card."""
    said = [wording_card.HEADLINE_STOP] if standing(card, moment).stopped else []
    if card.check is not None and has_open_check(card):
        words = {"done": len(card.check.counting), "planned": len(card.check.planned)}
        said.append(wording_check.MENU_STRANDS.format(when=when(card.check.begun), **words))
    for kind, stage in waiting_tests(card, moment):
        said.append(f"{wording_card.KINDS[kind.value]} {wording_card.STATES[stage.value]}")
    if said:
        return "; ".join(said)
    return wording_check.MENU_OPENED.format(when=when(card.opened), points=_points(card, moment))


def _points(card: Card, moment: datetime) -> str:
    count = len(standing(card, moment).points)
    if count < 2:
        return wording_check.POINTS_ONE if count else wording_check.POINTS_NONE
    return wording_check.POINTS_MANY.format(count=count)
