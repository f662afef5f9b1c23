"""The force as the board's own stops judge it: zero, limit, break. Raw counts only; pure.

The same rules as the board's firmware keeps: the force is the distance from the zero, whichever way the cell is
wired, and is judged by the median of three readings, so that a single wild one is never seen.
"""

from __future__ import annotations

from collections import deque

from firmware_protocol.vocabulary import StopReason

#: The zero is the mean of this many readings, rounded down.
ZERO_READINGS = 8
MEDIAN_OF = 3
#: So many medians on end below half of the highest are a break.
LOW_MEDIANS = 3


class ForceWatch:
    """Takes every reading; says when a motion has to end."""

    def __init__(self) -> None:
        self.zero = 0
        self._recent: deque[int] = deque(maxlen=ZERO_READINGS)
        self.start(None, 0)

    @property
    def ready(self) -> bool:
        """Whether there were enough readings for a zero."""
        return len(self._recent) == ZERO_READINGS

    def take_zero(self) -> None:
        """Make the mean of the last readings the zero."""
        self.zero = sum(self._recent) // ZERO_READINGS

    def start(self, limit: int | None, floor: int) -> None:
        """A motion begins, with a force limit or none; a break is looked for above `floor`, 0 for never."""
        self._limit = limit
        self._floor = floor
        self._peak = 0
        self._low = 0
        self._in_motion = 0

    def take(self, counts: int) -> StopReason | None:
        """Take a reading; the reason to stop a motion, if there is one."""
        self._recent.append(counts)
        self._in_motion += 1
        if self._in_motion < MEDIAN_OF:
            return None
        force = sorted(abs(self._recent[-back] - self.zero) for back in (1, 2, 3))[1]
        self._peak = max(self._peak, force)
        fallen = 0 < self._floor < self._peak and 2 * force < self._peak
        self._low = self._low + 1 if fallen else 0
        if self._limit is not None and force >= self._limit:
            return StopReason.FORCE_LIMIT
        return StopReason.BREAK_SEEN if self._low >= LOW_MEDIANS else None
