"""How much force is lost how abruptly, at every sample of a pull.

Owns what counts as abrupt. Must not know whether a loss is a break, a slip or something else.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.pull.screening import Signal
from analysis.pull.spans import highest_of_next, running_max
from analysis.trace import FloatArray

#: Share of the force that a break loses; the same rule that stops the motor.
BREAK_LOSS = 0.5
#: Force, in noise deviations, below which a loss says nothing, since noise alone could make it.
LOSS_SIGMAS = 6.0
#: So many readings in a row must be low, so that one bad reading is no fall.
LOW_SAMPLES = 3
#: A fall is abrupt when it is over within this time [s], where time is known, else within this share of the
#: extension reached; and in any case when it is over within so many samples.
FALL_S = 0.12
FALL_SHARE = 0.02
FALL_SAMPLES = 6


@dataclass(frozen=True, slots=True)
class Falls:
    """Force from its zero, and what is lost at each sample: absolutely, and as a share of what was there before.

    `width` is how many samples an abrupt fall may take, `noise` the standard deviation of one reading.
    """

    y: FloatArray
    lost: FloatArray
    share: FloatArray
    width: int
    noise: float


def measure_falls(signal: Signal, level: float, peak: int) -> Falls:
    """The force lost at every sample: the highest of the last few readings minus the highest of the next three."""
    y = signal.force - level
    width = fall_width(signal, peak)
    before = running_max(y, width)
    lost = before - highest_of_next(y, LOW_SAMPLES)
    share = np.where(before > LOSS_SIGMAS * signal.noise, lost / np.maximum(before, 1e-300), 0.0)
    return Falls(y, lost, share, width, signal.noise)


def fall_width(signal: Signal, peak: int) -> int:
    """How many samples an abrupt fall may take."""
    by_time = by_way = 0
    if signal.time_s is not None and signal.time_s.size > 2:
        usual = float(np.median(np.diff(signal.time_s)))
        by_time = int(FALL_S / usual) if usual > 0.0 else 0
    if signal.extension_mm is not None and peak > 0:
        start = signal.extension_mm[0]
        near = signal.extension_mm[peak] - FALL_SHARE * (signal.extension_mm[peak] - start)
        by_way = peak - int(np.searchsorted(signal.extension_mm[: peak + 1], near))
    return max(FALL_SAMPLES, by_time or by_way)
