"""Rows that somebody else makes for the width there is, as high as they need: for tables in a scrolling place."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tui.widgets.cells import Span
from tui.widgets.painted import Painted

#: Gives the rows for a width.
Rows = Callable[[int], Sequence[Sequence[Span]]]


def no_rows(width: int) -> Sequence[Sequence[Span]]:
    """Nothing to show."""
    return ()


class RowList(Painted):
    """The rows on the screen."""

    DEFAULT_CSS = "RowList { height: auto; width: 100%; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._rows: Rows = no_rows

    def show(self, rows: Rows) -> None:
        """Show other rows."""
        self._rows = rows
        self.refresh(layout=True)

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """As many rows as there are."""
        return max(len(self._rows(width)), 1)

    def row(self, y: int) -> Sequence[Span]:
        """One row."""
        rows = self._rows(self.size.width)
        return rows[y] if y < len(rows) else []
