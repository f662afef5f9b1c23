"""Two results beside each other, as text and points. Blocks, and imports the analysis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tui import wording_library as words
from tui.analysing import analyse_with_strand
from tui.failure import CommandError, sentence
from tui.format import OUTCOMES, label_of, quantity_cells, quantity_text
from tui.library.imports import wishes_for
from tui.safe_text import clean
from tui.shown_result import title_of
from tui.text_width import wrapped
from tui.widgets.cells import Span
from tui.widgets.points import Points

if TYPE_CHECKING:
    from analysis.results import PullResult

#: Widest column of names [cells].
NAMES = 27


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two."""

    name: str
    points: Points
    result: PullResult


@dataclass(frozen=True, slots=True)
class Pair:
    """Both, and the table of their values."""

    first: Side
    second: Side

    def rows(self, width: int) -> Sequence[Sequence[Span]]:
        """A row a quantity: its name, both values, and the difference with its ± where both were measured."""
        from analysis.results import QUANTITIES

        rows: list[list[Span]] = []
        for number, side in enumerate((self.first, self.second)):
            rows += [[Span(f" {line}", f"line{number}")] for line in wrapped(side.name, 0).splitlines()]
            rows.append([Span(f"   {OUTCOMES[side.result.outcome]}", "quiet")])
        rows.append([])
        for name in QUANTITIES:
            a, b = getattr(self.first.result, name), getattr(self.second.result, name)
            texts = [quantity_cells(name, one)[0] for one in (a, b)]
            rows.append(_row(label_of(name)[:NAMES], texts, _difference(name, a, b)))
        return rows


def _row(label: str, texts: list[str], difference: str) -> list[Span]:
    values = "".join(f"{text:>12}" if len(text) < 12 else f"{text[:11]:>12}" for text in texts)
    return [Span(f" {label:{NAMES}}", "quiet"), Span(values, "strong"), Span(f"  {difference}", "text")]


def _difference(name: str, a: object, b: object) -> str:
    """How far the second is from the first; "" where one was not measured."""
    from analysis.results import Measured

    if not (isinstance(a, Measured) and isinstance(b, Measured)):
        return ""
    text = quantity_text(name, Measured(b.value - a.value, math.hypot(a.u, b.u)))
    return text if text.startswith("-") else f"+{text}"


def pair_of(first: Path, second: Path) -> Pair:
    """Both results. Raises CommandError where one of them gives none."""
    return Pair(_side(first), _side(second))


def _side(path: Path) -> Side:
    try:
        analysed = analyse_with_strand(path, wishes_for(path))
    except Exception as problem:
        raise CommandError(words.PAIR_NOT.format(name=clean(path.name), problem=sentence(problem))) from problem
    curve = analysed.result.curve
    points = Points() if curve is None else Points(curve.strain_pct.tolist(), curve.force_n.tolist())
    return Side(title_of(analysed.specimen, path), points, analysed.result)
