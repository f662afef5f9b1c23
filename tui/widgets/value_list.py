"""Measured values in a list: what, how much, and the ± behind it."""

from __future__ import annotations

from collections.abc import Sequence

from tui.shown_result import Value
from tui.widgets.cells import Span
from tui.widgets.painted import Painted


def value_rows(values: Sequence[Value], width: int) -> list[list[Span]]:
    """One row a value: the name at the left, the figures aligned after it."""
    label_width = max((len(value.label) for value in values), default=0)
    value_width = max((len(value.value) for value in values), default=0)
    rows = []
    for value in values:
        label = value.label.ljust(label_width)
        margin = Span(f" ± {value.margin}" if value.margin else "", "quiet")
        rows.append([Span(f" {label}  ", "quiet"), Span(value.value.rjust(value_width), "strong"), margin])
    return rows


class ValueList(Painted):
    """The list on the screen; as high as it has values."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._values: Sequence[Value] = ()

    def show(self, values: Sequence[Value]) -> None:
        """Show other values."""
        self._values = values
        self.refresh(layout=True)

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """A row a value."""
        return max(len(self._values), 1)

    def row(self, y: int) -> Sequence[Span]:
        """One row of the list."""
        rows = value_rows(self._values, self.size.width)
        return rows[y] if y < len(rows) else []
