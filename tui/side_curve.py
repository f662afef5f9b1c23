"""A force–extension curve that grows downwards, one line of text for every few percent: for logs and pipes.

Pure: numbers in, lines out.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from tui.format import fixed

#: Extension between two lines [%]: fine enough to see the three regions, coarse enough to fit a screen.
STEP_PCT = 2.0

#: Columns of the longest bar.
BAR_COLUMNS = 40

HEADING = "  stretch     force"


def bar(value: float, full_scale: float, columns: int = BAR_COLUMNS) -> str:
    """`value` as a bar, to half a column; a value beyond `full_scale` fills it."""
    halves = round(2 * columns * min(max(value / full_scale, 0.0), 1.0))
    return "█" * (halves // 2) + "▌" * (halves % 2)


@dataclass(slots=True)
class SideCurve:
    """Gives a line each time the extension has grown by another `STEP_PCT`."""

    full_scale_n: float
    _next_pct: float = field(default=0.0)

    def lines(self, extension_pct: float, force_n: float) -> list[str]:
        """The line that this sample completes; none while it lies before the next step."""
        if extension_pct < self._next_pct:
            return []
        self._next_pct = STEP_PCT * (extension_pct // STEP_PCT + 1)
        return [row(extension_pct, force_n, self.full_scale_n)]


def row(extension_pct: float, force_n: float, full_scale_n: float) -> str:
    """One line: extension, force, bar."""
    numbers = f"  {fixed(extension_pct, 0):>5} %  {fixed(force_n, 3):>6} N"
    return f"{numbers} │{bar(force_n, full_scale_n)}"
