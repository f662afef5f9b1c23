"""The card that is being worked on: every change is kept before it counts as done.

Holds the newest value in memory as well, so that nothing is lost while the disk is full: the change is there, it is
said that it could not be kept, and the next change keeps both.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from tui.check import shelf
from tui.check.card import Card
from tui.check.times import now
from tui.store.place import StoreProblem

if TYPE_CHECKING:
    from analysis.results import PullResult


class Desk:
    """One card at a time. `clock` gives this moment."""

    def __init__(self, clock: Callable[[], datetime] = now) -> None:
        self.clock = clock
        self.card: Card | None = None
        self._unkept = False
        #: Results of recordings that were worked out in this session, by their paths.
        self.known: dict[str, PullResult] = {}
        #: The code of who worked here last, offered again.
        self.by = ""

    def take(self, card: Card) -> None:
        """Work on a card that was kept."""
        self.card, self._unkept = card, False

    def open(self, card: Card) -> str:
        """Work on a new card and keep it; a sentence where it could not be kept."""
        self.card = card
        return self._keep(card)

    def change(self, how: Callable[[Card], Card]) -> str:
        """Change the card and keep it; a sentence where it could not be kept. Raises what `how` raises.

        What another program has made of the card meanwhile is where the change begins.
        """
        self.card = how(self._newest())
        return self._keep(self.card)

    def _newest(self) -> Card:
        assert self.card is not None
        if self._unkept:
            return self.card
        try:
            return shelf.kept(self.card) or self.card
        except StoreProblem:
            return self.card

    def _keep(self, card: Card) -> str:
        try:
            shelf.keep(card)
        except StoreProblem as problem:
            self._unkept = True
            return f"{problem}."
        self._unkept = False
        return ""
