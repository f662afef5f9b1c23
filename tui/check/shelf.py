"""Where cards are kept: each in a file of its own, whole after every step, found again by the client's code."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from dataclasses import dataclass
from datetime import UTC

from tui.check.card import Card
from tui.check.codes import key_of
from tui.store.files import SUFFIX, load, save
from tui.store.place import NAME, StoreProblem, home

#: What the name of a card's file begins with.
BEGINNING = "card-"

#: Longest part of a client's code in a file's name; the digest after it tells longer ones apart [characters].
SLUG_CHARACTERS = 24


@dataclass(frozen=True, slots=True)
class Shelf:
    """The cards that could be read, the newest first, and sentences about files that could not."""

    cards: tuple[Card, ...]
    problems: tuple[str, ...]


def name_of(card: Card) -> str:
    """The name that a card is kept under: the same for all that becomes of it, another for every other card."""
    key = key_of(card.reference)
    plain = unicodedata.normalize("NFKD", key).encode("ascii", "ignore").decode()
    slug = "-".join(re.findall(r"[a-z0-9]+", plain)[:4])[:SLUG_CHARACTERS].strip("-") or "x"
    digest = hashlib.sha256(key.encode(errors="surrogatepass")).hexdigest()[:8]
    return f"{BEGINNING}{slug}-{digest}-{card.opened.astimezone(UTC):%Y%m%d-%H%M%S-%f}"


def keep(card: Card) -> None:
    """Keep a card as it is now. Raises StoreProblem; what was kept before then stays."""
    save(name_of(card), card)


def kept(card: Card) -> Card | None:
    """The card as it was kept last; None where it was not. Raises StoreProblem."""
    return load(name_of(card), Card).value


def all_cards() -> Shelf:
    """Every card that can be read. Blocks."""
    cards, problems = [], []
    for path in sorted(home().glob(f"{BEGINNING}*{SUFFIX}")):
        if not NAME.fullmatch(path.stem):
            continue
        try:
            found = load(path.stem, Card)
        except StoreProblem as problem:
            problems.append(f"{problem}.")
            continue
        cards += [found.value] if found.value is not None else []
        problems += [found.problem] if found.problem else []
    cards.sort(key=lambda card: card.opened, reverse=True)
    return Shelf(tuple(cards), tuple(problems))


def newest_of(reference: str) -> Card | None:
    """The newest card of a client; None where there is none."""
    key = key_of(reference)
    return next((card for card in all_cards().cards if key_of(card.reference) == key), None)
