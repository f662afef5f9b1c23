"""A curve that is being measured: the region it passes, and the moment at which it broke. Knows no widgets.

What is said live is a running guess; the result is worked out from the recording.
"""

from __future__ import annotations

from collections.abc import Iterable

from analysis.pull.passing import TAUT_N, Passing
from tui.classroom.passages import broken, passage_in
from tui.widgets.region_banner import Passage

#: A strand has broken where the force has fallen below this share of its peak.
FALLEN = 0.5


class LiveCurve:
    """Take in points as they come."""

    def __init__(self) -> None:
        self._passing = Passing()
        self._peak_n = 0.0
        self._held: tuple[float, float] | None = None
        self._last_n = 0.0

    def take_in(self, stretch_pct: Iterable[float], force_n: Iterable[float]) -> None:
        """The next points."""
        xs, ys = list(stretch_pct), list(force_n)
        for x, y in zip(xs, ys, strict=True):
            self._peak_n = max(self._peak_n, y)
            if y >= FALLEN * self._peak_n:
                self._held = (x, y)
            self._last_n = y
        self._passing.take_in(xs, ys)

    @property
    def broke(self) -> tuple[float, float] | None:
        """Stretch and force at the last point before the force fell; None while it holds."""
        fallen = self._peak_n >= TAUT_N and self._last_n < FALLEN * self._peak_n
        return self._held if fallen else None

    @property
    def region(self) -> str:
        """The region's name; "" before the strand is taut."""
        return self._passing.region

    def passage(self) -> Passage:
        """What is said of it now."""
        if self.broke is not None:
            return broken(f"{self.broke[0]:.1f} %", f"{self.broke[1]:.2f} N")
        return passage_in(self.region)
