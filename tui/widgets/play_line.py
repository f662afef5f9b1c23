"""How far the playing has come: a strand between its clamps, with a bead on it and a sign at every break."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tui.widgets.cells import Cells, Span
from tui.widgets.painted import Painted
from tui.widgets.signs import Signs

#: Shortest strand that says anything [cells].
LEAST = 10


@dataclass(frozen=True, slots=True)
class Progress:
    """Where it stands: shares of the whole for the bead and the breaks, and the words at the end of the row."""

    share: float = 0.0
    breaks: tuple[float, ...] = ()
    words: str = ""


def play_spans(progress: Progress, width: int, signs: Signs) -> Sequence[Span]:
    """The row: the strand as long as the words leave room for."""
    length = width - len(progress.words) - 6
    if length < LEAST:
        return [Span(f" {progress.words}", "strong")]
    cells = Cells(length)
    bead = _place(progress.share, length)
    cells.put(0, signs.thread * bead, "thread")
    cells.put(bead, signs.thread_ahead * (length - bead), "thread_ahead")
    for share in progress.breaks:
        cells.put(_place(share, length), signs.pin, "pin")
    cells.put(bead, signs.dot, "here")
    ends = Span(f" {signs.clamp_left}", "thread"), Span(signs.clamp_right, "thread")
    return [ends[0], *cells.spans(), ends[1], Span(f"  {progress.words}", "strong")]


def _place(share: float, length: int) -> int:
    return min(max(round(share * (length - 1)), 0), length - 1)


class PlayLine(Painted):
    """The row on the screen."""

    def __init__(self, signs: Signs, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._signs = signs
        self._progress = Progress()

    @property
    def progress(self) -> Progress:
        """What is shown."""
        return self._progress

    def show(self, progress: Progress) -> None:
        """Show another place."""
        if progress != self._progress:
            self._progress = progress
            self.refresh()

    def row(self, y: int) -> Sequence[Span]:
        """The only row."""
        return play_spans(self._progress, self.size.width, self._signs)
