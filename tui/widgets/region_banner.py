"""Which region a strand is passing, in words that can be read from the back of a room, and what happens in it."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from tui.widgets.cells import Span
from tui.widgets.digits import figures
from tui.widgets.painted import Painted

#: Rows of a large word.
WORD_ROWS = 3
#: Cells between the word and the sentence, and the narrowest sentence beside a large word.
GAP, LEAST_BESIDE = 3, 30
#: Widest name of a curve before its region's word [cells].
WIDEST_NAME = 20


@dataclass(frozen=True, slots=True)
class Passage:
    """Where one curve is: the curve's name ("" where there is only one), the region's word, and the sentence."""

    name: str
    word: str
    sentence: str
    role: str


def banner_rows(passages: Sequence[Passage], width: int, *, blocks: bool) -> list[list[Span]]:
    """One curve: its word in large letters with the sentence beside it. Several: a row each."""
    if len(passages) == 1:
        return _large(passages[0], width, blocks=blocks)
    word_width = max((len(passage.word) for passage in passages), default=0)
    name_width = min(max((len(passage.name) for passage in passages), default=0), WIDEST_NAME)
    return [_row(passage, name_width, word_width, width) for passage in passages]


def _large(passage: Passage, width: int, *, blocks: bool) -> list[list[Span]]:
    word = figures(passage.word.upper(), WORD_ROWS, blocks=blocks, width=width - GAP - LEAST_BESIDE - 2)
    room = width - len(word[0]) - GAP - 2
    if len(word) < WORD_ROWS:
        lines = textwrap.wrap(passage.sentence, max(width - 2, 1))[: WORD_ROWS - 1]
        return [[Span(f" {passage.word.upper()}", passage.role)], *([Span(f" {s}", "text")] for s in lines)]
    lines = textwrap.wrap(passage.sentence, room)[:WORD_ROWS]
    lines = [""] * ((WORD_ROWS - len(lines)) // 2) + lines
    lines += [""] * (WORD_ROWS - len(lines))
    return [
        [Span(f" {row}", passage.role), Span(" " * GAP + line, "text")]
        for row, line in zip(word, lines, strict=True)
    ]


def _row(passage: Passage, name_width: int, word_width: int, width: int) -> list[Span]:
    """Name, word and as much of the sentence as there is room for, cut at a whole word."""
    name = f" {passage.name[:name_width].ljust(name_width)} "
    word = f" {passage.word.upper().ljust(word_width)} "
    room = width - len(name) - len(word) - 2
    sentence = textwrap.shorten(passage.sentence, room, placeholder=" …") if room > 10 else ""
    return [Span(name, "quiet"), Span(word, passage.role), Span(f" {sentence}", "text")]


class RegionBanner(Painted):
    """The banner on the screen."""

    def __init__(self, *, blocks: bool = True, id: str | None = None) -> None:
        super().__init__(id=id)
        self._blocks = blocks
        self._passages: tuple[Passage, ...] = ()

    @property
    def passages(self) -> tuple[Passage, ...]:
        """What is said."""
        return self._passages

    def show(self, passages: Sequence[Passage]) -> None:
        """Say something else."""
        if tuple(passages) != self._passages:
            self._passages = tuple(passages)
            self.refresh()

    def row(self, y: int) -> Sequence[Span]:
        """One row of the banner."""
        rows = banner_rows(self._passages, self.size.width, blocks=self._blocks) if self._passages else []
        return rows[y] if y < len(rows) else []
