"""The strands of a check in a list: which is next, what each showed, and which do not count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tui import wording_check as wording
from tui.check.course import Check, Pull
from tui.check.judged import StrandLine
from tui.widgets.cells import Span
from tui.widgets.painted import Painted

#: Cells of the sign with its number, of the longest zone, and of the stretch with its ±.
NUMBER_CELLS, ZONE_CELLS, FIGURE_CELLS = 4, 15, 16

#: Stands for the rest of words that were cut.
MORE = "…"


@dataclass(frozen=True, slots=True)
class StrandRow:
    """One row: sign, number, zone, figure, words, and how the sign and the words look."""

    sign: str
    number: int
    zone: str
    figure: str
    words: str
    role: str
    here: bool = False


def rows_of(check: Check, lines: Sequence[StrandLine] = (), pointer: str = "▸") -> list[StrandRow]:
    """The strands in order, each with its pulls; those of `lines` with what they showed."""
    judged = {line.pull.recording: line for line in lines}
    rows: list[StrandRow] = []
    for number, zone in enumerate(check.planned, 1):
        pulls = [pull for pull in check.pulls if pull.strand == number]
        rows += [_pulled(pull, judged.get(pull.recording)) for pull in pulls]
        if not any(not pull.aside for pull in pulls):
            rows.append(_to_come(number, zone, pointer, here=number == check.next_strand))
    return rows


def _pulled(pull: Pull, line: StrandLine | None) -> StrandRow:
    if pull.aside:
        figure = line.figure if line else ""
        return StrandRow("–", pull.strand, pull.zone, figure, wording.LINE_ASIDE.format(reason=pull.aside), "quiet")
    if line is None:
        return StrandRow("…", pull.strand, pull.zone, "", wording.LINE_WORKING, "quiet")
    sign = wording.VERDICT_SIGNS.get(line.verdict, "–")
    role = wording.VERDICT_ROLES.get(line.verdict, "unsure")
    return StrandRow(sign, pull.strand, pull.zone, line.figure, line.words, role)


def _to_come(number: int, zone: str, pointer: str, *, here: bool) -> StrandRow:
    words = wording.LINE_NEXT if here else wording.LINE_LATER
    return StrandRow(pointer if here else "", number, zone, "", words, "key" if here else "quiet", here)


def spans_of(row: StrandRow, width: int) -> list[Span]:
    """One row, cut to `width`."""
    room = max(width - NUMBER_CELLS - ZONE_CELLS - FIGURE_CELLS - 7, 0)
    text = row.words if len(row.words) <= room else f"{row.words[: max(room - 1, 0)]}{MORE}"
    look = "strong" if row.here else "quiet" if row.role == "quiet" else "text"
    return [
        Span(f" {row.sign:1} ", row.role),
        Span(f"{row.number:>2}  {row.zone[:ZONE_CELLS]:{ZONE_CELLS}} ", look),
        Span(f"{row.figure:>{FIGURE_CELLS}}   ", look),
        Span(text, row.role),
    ]


class StrandRows(Painted):
    """The list on the screen; as high as it has rows."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._rows: Sequence[StrandRow] = ()

    @property
    def rows(self) -> Sequence[StrandRow]:
        """What is shown."""
        return self._rows

    def show(self, rows: Sequence[StrandRow]) -> None:
        """Show other rows."""
        self._rows = rows
        self.refresh(layout=True)

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """A row a pull, and one for each strand to come."""
        return max(len(self._rows), 1)

    def row(self, y: int) -> Sequence[Span]:
        """One row of the list."""
        return spans_of(self._rows[y], self.size.width) if y < len(self._rows) else []
