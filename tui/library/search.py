"""Which items a typed query means. Pure.

A query is words; all of them must be there. "zone:crown" means values of one field that begin so, with quotation
marks that value alone; "-wet" takes out what has the word. Nothing typed means everything.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from tui import wording_library as words
from tui.library.item import OUTCOME_WORDS, VERDICT_WORDS, Item

#: Fields that can be asked for by name, as the query and the filter list name them.
FIELDS: Mapping[str, Callable[[Item], str]] = {
    "history": lambda item: item.history,
    "zone": lambda item: item.zone,
    "condition": lambda item: item.condition,
    "reference": lambda item: item.reference,
    "outcome": lambda item: OUTCOME_WORDS.get(item.outcome, item.outcome),
    "verdict": lambda item: VERDICT_WORDS.get(item.verdict, item.verdict),
    "series": lambda item: item.series,
    "simulated": lambda item: words.SIMULATED if item.simulated else words.REAL,
    "damaged": lambda item: words.DAMAGED if item.problem else "",
}

TAG = "tag"
#: Holds words together in a query; in what is searched it counts for nothing.
QUOTE = '"'


@dataclass(frozen=True, slots=True)
class Found:
    """An item with what the person added to it, and all of it as folded text that is searched."""

    item: Item
    tags: tuple[str, ...]
    #: Why a series does not count it; "" where it does.
    aside: str
    text: str


def findable(item: Item, tags: Sequence[str] = (), notes: Sequence[str] = (), aside: str = "") -> Found:
    """Make an item ready to be found."""
    parts = [item.name, item.recorded_at, item.strand, *(of(item) for of in FIELDS.values()), *tags, *notes]
    parts += [words.REJECTED, aside] if aside else []
    return Found(item, tuple(tags), aside, "\n".join(filter(None, parts)).casefold())


def matching(found: Iterable[Found], query: str) -> list[Found]:
    """Those that a query means, in their order."""
    left = list(found)
    for test in map(_test, _words(query)):
        left = [one for one in left if test(one)]
    return left


def values_of(found: Iterable[Found]) -> list[tuple[str, str, int]]:
    """Every field with each of its values and how many items have it, the most frequent first."""
    counts: dict[str, Counter[str]] = {field: Counter() for field in (*FIELDS, TAG)}
    for one in found:
        for field, of in FIELDS.items():
            counts[field][of(one.item)] += 1
        counts[TAG].update(one.tags)
    return [
        (field, value, count)
        for field, counter in counts.items()
        for value, count in counter.most_common()
        if value
    ]


def with_word(query: str, field: str, value: str) -> str:
    """A query that asks for exactly this value of a field too."""
    return f"{query} {field}:{QUOTE}{_bare(value)}{QUOTE}".strip()


def _bare(text: str) -> str:
    """A text as values are compared."""
    return text.replace(QUOTE, "").casefold()


def _words(query: str) -> list[str]:
    """The words of a query, with their quotation marks, which hold words together."""
    out: list[str] = []
    inside, word = False, ""
    for sign in query.casefold():
        inside ^= sign == QUOTE
        if sign.isspace() and not inside:
            out, word = [*out, word], ""
        else:
            word += sign
    return [one for one in (*out, word) if one.strip(f"-{QUOTE}")]


def _test(word: str) -> Callable[[Found], bool]:
    if word.startswith("-"):
        test = _test(word[1:])
        return lambda one: not test(one)
    field, colon, asked = word.partition(":")
    if not colon or field not in (*FIELDS, TAG):
        text = _bare(word)
        return lambda one: text in one.text
    value, exact = _bare(asked), len(asked) > 1 and asked.startswith(QUOTE) and asked.endswith(QUOTE)

    def fits(text: str) -> bool:
        return _bare(text) == value if exact else _bare(text).startswith(value)

    return lambda one: any(fits(text) for text in _values(one, field))


def _values(one: Found, field: str) -> tuple[str, ...]:
    return one.tags if field == TAG else (FIELDS[field](one.item),)
