"""Where the playing of curves stands: one playhead on the stretch axis for all of them, so that they go in step.

Pure: it is told how much time has passed. In step means at the same stretch, not after the same time: what a class
compares is what each strand bears at that stretch. Knows no widgets and no clock.
"""

from __future__ import annotations

from collections.abc import Sequence

from tui.classroom.series import Series

#: Speeds, as multiples of how fast the first strand was pulled.
SPEEDS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)
#: The one to begin with: a pull of 45 s is played in 11 s.
FIRST_SPEED = 4.0
#: A step and a leap of the playhead [%].
STEP_PCT, LEAP_PCT = 0.5, 5.0


class Playback:
    """The playhead; `at_pct` is the stretch that all curves are shown up to."""

    def __init__(self, series: Sequence[Series], rate_pct_s: float) -> None:
        self.series = tuple(series)
        self.rate_pct_s = rate_pct_s
        self.at_pct = 0.0
        self.playing = False
        self.speed = FIRST_SPEED

    @property
    def ends_pct(self) -> float:
        """Where the last curve ends [%]."""
        return max((one.ends_pct for one in self.series), default=0.0)

    @property
    def at_end(self) -> bool:
        """Whether every curve is shown whole."""
        return self.at_pct >= self.ends_pct

    def show(self, series: Sequence[Series]) -> None:
        """Other curves, at the same stretch where they reach it."""
        self.series = tuple(series)
        self._go(self.at_pct)

    def play_or_pause(self) -> None:
        """Go on, or stand; from the end it begins anew."""
        if self.at_end:
            self.at_pct = 0.0
        self.playing = not self.playing and self.ends_pct > 0.0

    def passed(self, seconds: float) -> None:
        """Time has passed."""
        if self.playing:
            self._go(self.at_pct + seconds * self.speed * self.rate_pct_s)

    def step(self, by_pct: float) -> None:
        """Stand, a step further on or back."""
        self.playing = False
        self._go(self.at_pct + by_pct)

    def to_start(self) -> None:
        """Stand at the start."""
        self.step(-self.at_pct)

    def to_end(self) -> None:
        """Stand at the end."""
        self.step(self.ends_pct - self.at_pct)

    def to_break(self) -> None:
        """Stand where the next curve ends; after the last one, where the first did."""
        ends = sorted({one.ends_pct for one in self.series})
        ahead = [end for end in ends if end > self.at_pct]
        if ends:
            self.step((ahead or ends)[0] - self.at_pct)

    def faster(self, steps: int) -> None:
        """Another speed."""
        here = SPEEDS.index(self.speed)
        self.speed = SPEEDS[min(max(here + steps, 0), len(SPEEDS) - 1)]

    def _go(self, at_pct: float) -> None:
        self.at_pct = min(max(at_pct, 0.0), self.ends_pct)
        if self.at_end:
            self.playing = False


def speed_text(speed: float) -> str:
    """A speed as a person reads it: "¼", "½", "1", "2" …"""
    return {0.25: "¼", 0.5: "½"}.get(speed, f"{speed:g}")
