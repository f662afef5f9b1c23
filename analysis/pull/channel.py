"""What is wrong with the force channel for a while: the ends of its range, a flat top, a frozen reading.

Owns the checks on runs of readings. Must not know what a strand is, only that the stage moves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.pull.spans import longest_run
from analysis.trace import FloatArray, Trace

BoolArray = NDArray[np.bool_]

#: Bit of a recording's `flags` column: this reading is at the end of the amplifier's range.
SATURATED_BIT = 1 << 6
#: So many exact repeats at the top of a fine scale are a flat top, under load elsewhere a frozen channel.
FLAT_SAMPLES = 4
FROZEN_SAMPLES = 12
#: A run of repeats counts only where it spans this share of the pull: a coarse scale repeats by itself.
FLAT_SHARE = 0.01
FROZEN_SHARE = 0.05
#: A scale with fewer steps than this over the span is too coarse for runs of repeats to say anything.
FINE_STEPS = 200.0
#: A channel frozen for this share of the pull spoils it.
FROZEN_SPOILS = 0.2

CHECK_WIRING = "check the amplifier's wiring, then pull another strand"


@dataclass(frozen=True, slots=True)
class Frozen:
    """Repeats of one reading under load, from `start` up to `stop`; `spoils`: why that spoils the pull, or ""."""

    start: int
    stop: int
    spoils: str


def at_range_end(trace: Trace, n: int) -> BoolArray:
    """Which of n readings are at an end of the amplifier's range, by its ends or by the board's own flag."""
    at_end = np.zeros(n, dtype=bool)
    if trace.counts is not None and trace.full_scale_counts:
        at_end |= np.abs(trace.counts) >= trace.full_scale_counts - 1
    if trace.flags is not None:
        at_end |= (trace.flags & SATURATED_BIT) != 0
    return at_end


def flat_top(y: FloatArray, x: FloatArray | None, *, known_range: bool) -> BoolArray:
    """Exact repeats of the largest reading, where the amplifier's range is not known."""
    flat = np.zeros(y.size, dtype=bool)
    if known_range or y.size < 2 * FLAT_SAMPLES or not _is_fine(y):
        return flat
    at_top = y == y.max()
    start, stop = longest_run(at_top)
    if stop - start >= FLAT_SAMPLES and stop < y.size and _span_share(x, y.size, start, stop) >= FLAT_SHARE:
        return np.asarray(at_top)
    return flat


def frozen(y: FloatArray, x: FloatArray | None, saturated: BoolArray) -> Frozen | None:
    """Find the longest repeat of one reading under load while the stage moves; None where there is none."""
    if y.size < FROZEN_SAMPLES:
        return None
    if float(np.ptp(y)) == 0.0:
        return Frozen(0, y.size, f"the force channel gave one and the same reading all the time: {CHECK_WIRING}")
    same = np.zeros(y.size, dtype=bool)
    same[1:] = y[1:] == y[:-1]
    loaded = np.abs(y - y[0]) > 0.1 * np.ptp(y)
    start, stop = longest_run(same & ~saturated & loaded)
    start = max(start - 1, 0)
    share = _span_share(x, y.size, start, stop)
    if stop - start < FROZEN_SAMPLES or share < FROZEN_SHARE or not _is_fine(y):
        return None
    across_a_fall = stop < y.size and abs(y[stop] - y[start]) > 0.5 * abs(y[start] - y[0])
    spoils = share >= FROZEN_SPOILS or stop >= y.size - 1 or across_a_fall
    return Frozen(start, stop, f"the force channel froze during the pull: {CHECK_WIRING}" if spoils else "")


def _span_share(x: FloatArray | None, n: int, start: int, stop: int) -> float:
    """Share of the pull that the samples from `start` to `stop` cover, in extension where there is one."""
    if x is None or float(np.ptp(x)) <= 0.0:
        return (stop - start) / max(n, 1)
    return float(abs(x[stop - 1] - x[start]) / np.ptp(x))


def _is_fine(y: FloatArray) -> bool:
    """Whether the force scale is fine enough for exact repeats to mean something."""
    steps = np.abs(np.diff(y))
    steps = steps[steps > 0.0]
    return steps.size > 0 and float(y.max() - y.min()) >= FINE_STEPS * float(steps.min())
