"""Sees a strand break while it happens, so that the motor can be stopped.

The rule, the same on the board: the median of the last three readings falls below half of the highest median
so far, for three readings on end, once that peak was above a floor. A single wild reading never reaches the
median. Where the force may fall by itself (a strand held, or let back) the highest median counts only for a few
readings: a break is sudden. For stopping only: where the strand broke is worked out later from the recording. Pure;
counts only.
"""

from __future__ import annotations

from collections import deque

#: A reading is judged by the median of this many, so that one wild reading is never seen.
MEDIAN_OF = 3
#: The force must fall below this share of the peak.
FALL_TO = 0.5
#: This many medians on end must be that low.
CONFIRM = 3
#: A break is over within so many readings, the median and a filter of four readings included.
SUDDEN_READINGS = 7


class BreakDetector:
    """Fed with readings in order; says at which one a break is certain.

    `zero_counts` is the force zero, `floor_counts` how far from it the peak must have been before a break is
    looked for. Force is the distance from zero, whichever way the cell is wired. `within` is how many readings a
    break may take; without it, the peak counts for ever.
    """

    def __init__(self, zero_counts: float, floor_counts: float, within: int | None = None) -> None:
        self._zero = zero_counts
        self._floor = floor_counts
        self._window: list[float] = []
        self._within = within
        self._latest: deque[float] = deque(maxlen=within or SUDDEN_READINGS)
        self._low = 0
        self.peak_counts = 0.0
        #: The largest rise within so many readings as a sudden break may take [count].
        self.fastest_rise_counts = 0.0
        self.seen = False

    def feed(self, counts: int) -> bool:
        """Take one reading; True from the reading on at which a break is certain."""
        if self.seen:
            return True
        self._window.append(abs(counts - self._zero))
        if len(self._window) < MEDIAN_OF:
            return False
        force = sorted(self._window)[MEDIAN_OF // 2]
        del self._window[0]
        self.peak_counts = max(self.peak_counts, force)
        self._latest.append(force)
        self.fastest_rise_counts = max(self.fastest_rise_counts, force - self._latest[0])
        peak = self.peak_counts if self._within is None else max(self._latest)
        fallen = peak > self._floor and force < FALL_TO * peak
        self._low = self._low + 1 if fallen else 0
        self.seen = self._low >= CONFIRM
        return self.seen
