"""Turns the board's wrapping microsecond counter into time that only grows. Pure."""

from __future__ import annotations

#: The counter has this many bits: it wraps every 71.6 minutes.
TICK_BITS = 32


class TickUnwrapper:
    """Fed with the ticks of consecutive samples [us]; a gap of 71 minutes or more looks like a shorter one."""

    def __init__(self, bits: int = TICK_BITS) -> None:
        self._wrap = 1 << bits
        self._last: int | None = None

    def feed(self, tick: int) -> int:
        """The unwrapped time of one sample [us], starting at the first tick."""
        if self._last is None:
            self._last = tick
        else:
            self._last += (tick - self._last) % self._wrap
        return self._last

    def reset(self) -> None:
        """Begin anew, after the board has restarted."""
        self._last = None
