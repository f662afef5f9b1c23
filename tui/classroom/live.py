"""A curve that is being measured: the region it passes, and the moment at which it broke. Knows no widgets.

What is said live is a running guess; the result is worked out from the recording.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from statistics import median

from analysis.pull.passing import TAUT_N, Passing
from tui.classroom.passages import broken, passage_in
from tui.widgets.region_banner import Passage

#: A strand has broken where the force, the median of three readings, has fallen below this share of its peak.
FALLEN = 0.5

#: The moment of break is the last reading that still had this share of the peak: readings on the way down are none.
HELD = 0.9


class LiveCurve:
    """Take in points as they come."""

    def __init__(self) -> None:
        self._passing = Passing()
        self._peak_n = 0.0
        self._held: tuple[float, float] | None = None
        self._last: deque[float] = deque([0.0], maxlen=3)

    def take_in(self, stretch_pct: Iterable[float], force_n: Iterable[float]) -> None:
        """The next points."""
        xs, ys = list(stretch_pct), list(force_n)
        for x, y in zip(xs, ys, strict=True):
            self._last.append(y)
            self._peak_n = max(self._peak_n, self._middle_n)
            if self._middle_n >= HELD * self._peak_n and y >= HELD * self._peak_n:
                self._held = (x, y)
        self._passing.take_in(xs, ys)

    @property
    def _middle_n(self) -> float:
        """The median of the last readings: one that is far off changes nothing."""
        return median(self._last)

    @property
    def broke(self) -> tuple[float, float] | None:
        """Stretch and force at the last point before the force fell; None while it holds."""
        fallen = self._peak_n >= TAUT_N and self._middle_n < FALLEN * self._peak_n
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
