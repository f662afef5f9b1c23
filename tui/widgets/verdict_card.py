"""The verdict on one strand: a sign, words and a colour that say the same, and a sentence that explains it."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from tui.widgets.cells import Span
from tui.widgets.painted import Painted

#: A space at which no line is broken.
NO_BREAK = "\u00a0"


@dataclass(frozen=True, slots=True)
class Card:
    """What the card says. Text is clean already; `role` is how it looks."""

    sign: str
    words: str
    role: str
    sentence: str


def card_rows(card: Card, width: int, bar: str = "▌") -> list[list[Span]]:
    """The words, and the sentence below them, behind a bar in the verdict's colour."""
    room = max(width - 4, 10)
    edge = Span(f" {bar} ", card.role)
    rows = [[edge, Span(f"{card.sign} {line}", card.role)] for line in textwrap.wrap(card.words, room - 2)[:1]]
    rows += [[edge, Span(line, "text")] for line in wrapped(card.sentence, room)]
    return rows


def wrapped(text: str, width: int) -> list[str]:
    """Text as lines that never part a number from its percent sign."""
    lines = textwrap.wrap(text.replace(" %", f"{NO_BREAK}%"), width)
    return [line.replace(NO_BREAK, " ") for line in lines]


class VerdictCard(Painted):
    """The card on the screen; as high as its text needs."""

    def __init__(self, *, bar: str = "▌", id: str | None = None) -> None:
        super().__init__(id=id)
        self._card: Card | None = None
        self._bar = bar

    @property
    def card(self) -> Card | None:
        """What is shown."""
        return self._card

    def show(self, card: Card) -> None:
        """Show a verdict."""
        self._card = card
        self.refresh(layout=True)

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """Rows that the text needs at this width."""
        return len(card_rows(self._card, width, self._bar)) if self._card else 1

    def row(self, y: int) -> Sequence[Span]:
        """One row of the card."""
        rows = card_rows(self._card, self.size.width, self._bar) if self._card else []
        return rows[y] if y < len(rows) else []
