"""The load cell and its amplifier: what becomes of a force before it is a number on the wire.

    rate        about 5 % above the nominal one, a little unsteady: "80 readings/s" boards deliver 84.3
    filter      a reading is the mean force of the last four intervals: the answer is two readings late, and
                a sudden change is spread over four
    zero        somewhere, never at zero counts; it wanders slowly
    noise       Gaussian, independent from reading to reading
    ends        24 bits, two's complement; beyond them the reading stays at the end
    faults      pauses of 0.42 s, single readings at the end of the range, a frozen or silent channel

Rates, pauses, noise and glitches as seen in public logs of such boards. Knows no board, stage or strand.
"""

from __future__ import annotations

import math
from collections import deque
from random import Random

SENSOR_BITS = 24
FULL_SCALE_COUNTS = (1 << SENSOR_BITS - 1) - 1
#: Full scale is at 2.4 N: a 2 N cell with a fifth to spare.
COUNTS_PER_N = round((1 << SENSOR_BITS - 1) / 2.4)
FORCE_RANGE_MN = 2000
#: True over nominal rate: 84.3 readings/s were seen where 80 were promised.
RATE_RATIO = 84.3 / 80.0
#: Unsteadiness of the interval, as a share of it; the percentiles 1 and 99 were 0.6 % from the middle.
JITTER = 0.005
FILTER_READINGS = 4
LAGGING_FILTER_READINGS = 16
#: Noise of a reading [count rms]; 110-200 were seen.
NOISE_COUNTS = 150.0
NOISE_FAULT = 20.0
#: Zero of the cell as mounted [count]: drawn once for a rig, so far to either side.
ZERO_RANGE_COUNTS = (30_000, 120_000)
#: Slow wander of the zero: a random walk of this many counts in a second.
WANDER_COUNTS = 4.0
DRIFT_FAULT_COUNTS_S = 180.0
#: Force that a preloaded cell leaves of the range [N].
PRELOADED_RANGE_N = 0.25
ZERO_STEP_N = 0.030


class Amplifier:
    """Fed with the force as it goes (`follow`), asked for readings when they are due (`due_us`, `read`)."""

    def __init__(self, rate_hz: float, rng: Random) -> None:
        self.noisy = self.drifting = self.frozen = self.dead = self.glitch = False
        self._rng = rng
        self._period_us = 1e6 / (rate_hz * RATE_RATIO)
        self._zero = float(rng.choice((-1, 1)) * rng.randint(*ZERO_RANGE_COUNTS))
        self._window: deque[float] = deque(maxlen=FILTER_READINGS)
        self._sum_n_us = 0.0
        self._force_n = 0.0
        self._span_us = 0
        self._next_us = self._period_us
        self._last = round(self._zero)
        self.due_us = round(self._next_us)

    @property
    def zero_counts(self) -> float:
        """The true zero of the cell at this moment [count]."""
        return self._zero

    def lag(self, late: bool) -> None:
        """Answer as late as a slow filter does, or as usual."""
        self._window = deque(self._window, maxlen=LAGGING_FILTER_READINGS if late else FILTER_READINGS)

    def preload(self) -> None:
        """Shift the zero so far that little of the range is left."""
        self._zero = FULL_SCALE_COUNTS - PRELOADED_RANGE_N * COUNTS_PER_N

    def step_zero(self) -> None:
        """Shift the zero for good, as a knock does."""
        self._zero += ZERO_STEP_N * COUNTS_PER_N

    def pause(self, seconds: float) -> None:
        """Deliver nothing for a while, then begin with an empty filter."""
        self._next_us += seconds * 1e6
        self.due_us += round(seconds * 1e6)
        self._window.clear()

    def follow(self, force_n: float, dt_us: int) -> None:
        """The force went evenly to `force_n` within `dt_us`; 0 for a jump."""
        self._sum_n_us += 0.5 * (self._force_n + force_n) * dt_us
        self._span_us += dt_us
        self._force_n = force_n

    def read(self) -> int | None:
        """The reading that is due [count]; None where the amplifier delivers none. Sets when the next is due."""
        span_us = self._span_us
        self._window.append(self._sum_n_us / span_us if span_us else self._force_n)
        self._sum_n_us, self._span_us = 0.0, 0
        self._next_us += self._period_us
        self.due_us = round(self._next_us + self._period_us * self._rng.uniform(-JITTER, JITTER))
        self._wander(span_us * 1e-6)
        noise = self._rng.gauss(0.0, NOISE_COUNTS * (NOISE_FAULT if self.noisy else 1.0))
        if self.dead:
            return None
        if self.glitch:
            self.glitch = False
            return FULL_SCALE_COUNTS
        if not self.frozen:
            mean_n = sum(self._window) / len(self._window)
            self._last = _quantise(self._zero + COUNTS_PER_N * mean_n + noise)
        return self._last

    def _wander(self, dt_s: float) -> None:
        self._zero += self._rng.gauss(0.0, WANDER_COUNTS * math.sqrt(dt_s))
        if self.drifting:
            self._zero += DRIFT_FAULT_COUNTS_S * dt_s


def saturated(counts: int) -> bool:
    """Whether a reading is at an end of the amplifier's range."""
    return not -FULL_SCALE_COUNTS - 1 < counts < FULL_SCALE_COUNTS


def _quantise(counts: float) -> int:
    return min(max(round(counts), -FULL_SCALE_COUNTS - 1), FULL_SCALE_COUNTS)
