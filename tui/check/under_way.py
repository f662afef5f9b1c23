"""What was begun earlier and waits to be gone on with, in one sentence for the first screen."""

from __future__ import annotations

from datetime import datetime

from tui import wording_card, wording_check
from tui.check.card import Card
from tui.check.rules import Kind, Stage, stage_of
from tui.check.shelf import all_cards
from tui.check.times import now
from tui.safe_text import clean

#: Stages of a test that somebody waits for.
WAITING = (Stage.RUNNING, Stage.READABLE)


def has_open_check(card: Card) -> bool:
    """Whether a strength check of the card was begun and has not ended."""
    return card.check is not None and card.check.ended is None


def waiting_tests(card: Card, moment: datetime) -> list[tuple[Kind, Stage]]:
    """The tests of a card that run or are ready to be read."""
    stages = [(kind, stage_of(card.round_of(kind), moment)) for kind in Kind]
    return [(kind, stage) for kind, stage in stages if stage in WAITING]


def sentence() -> str:
    """What is under way; "" where nothing is. Reads files."""
    cards, moment = all_cards().cards, now()
    said = []
    open_check = next((card for card in cards if has_open_check(card)), None)
    if open_check is not None and open_check.check is not None:
        counts = {"done": len(open_check.check.counting), "planned": len(open_check.check.planned)}
        said.append(wording_check.UNDER_WAY_CHECK.format(reference=clean(open_check.reference, 40), **counts))
    waiting = [(card, *test) for card in cards for test in waiting_tests(card, moment)]
    if len(waiting) == 1:
        card, kind, stage = waiting[0]
        words = {"test": wording_card.KINDS[kind.value], "state": wording_card.STATES[stage.value]}
        said.append(wording_check.UNDER_WAY_TEST.format(reference=clean(card.reference, 40), **words))
    elif waiting:
        said.append(wording_check.UNDER_WAY_TESTS.format(count=len(waiting)))
    return " ".join(said)
