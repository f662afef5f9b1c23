"""A card in one line, and as a small object, for lists of cards."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from tui.check.card import Card
from tui.check.standing import standing
from tui.check.times import when
from tui.safe_text import clean


def card_line(card: Card, moment: datetime) -> str:
    """Code, when it was opened, and the card in a few words."""
    return f"{clean(card.reference, 24):24}  {when(card.opened):19}  {standing(card, moment).headline}"


def card_object(card: Card, moment: datetime) -> dict[str, Any]:
    """The same for other programs."""
    stands = standing(card, moment)
    return {
        "reference": card.reference,
        "opened": card.opened.isoformat(timespec="seconds"),
        "do_not_proceed": stands.stopped,
        "open_points": list(stands.points),
        "tests": {test.kind.value: test.stage.value for test in stands.tests},
    }
