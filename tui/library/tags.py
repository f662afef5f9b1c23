"""Tags that people give to recordings. Kept in the store by the recording's name, which stays when it is moved."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from tui.safe_text import clean
from tui.store.files import load, save

NAME = "tags"

#: Longest tag [characters], and most of them on one recording.
LONGEST_TAG, MOST_TAGS = 30, 12


@dataclass(frozen=True, slots=True)
class Tags:
    """The tags of each recording, by file name."""

    of: dict[str, tuple[str, ...]] = field(default_factory=dict)


def all_tags() -> dict[str, tuple[str, ...]]:
    """Every recording's tags, by file name. Raises StoreProblem."""
    return (load(NAME, Tags).value or Tags()).of


def keep_tags(path: Path, tags: tuple[str, ...]) -> None:
    """Give a recording these tags, and no others. Raises StoreProblem."""
    kept = load(NAME, Tags).value or Tags()
    save(NAME, replace(kept, of={**{n: t for n, t in kept.of.items() if n != path.name}, **_entry(path, tags)}))


def tags_in(text: str) -> tuple[str, ...]:
    """The tags in a typed text, separated by commas, each once."""
    parts = (clean(part.strip().lstrip("#"), LONGEST_TAG) for part in text.split(","))
    return tuple(dict.fromkeys(part for part in parts if part))


def _entry(path: Path, tags: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    return {path.name: tags} if tags else {}
