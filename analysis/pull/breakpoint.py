"""Where the strand broke, or why that can't be said: abrupt falls of force, told from slips and slow declines.

Owns the search for falls. Must not know gauge lengths, stress, or what the person is told.

Method
------
1. At every sample, the force lost: the highest of the last few readings minus the highest of the next three
   (three low readings in a row, so that one bad reading is no fall).
2. The break is the first place, from the highest force on, where half of the force there is lost, or a quarter for
   good.
3. From there back up the flank to its top: the last sample before the fall.
4. Smaller falls that heal before the break are teeth: several of them are a slipping clamp.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.pull.falls import BREAK_LOSS, Falls, measure_falls
from analysis.pull.screening import Signal
from analysis.pull.slips import SLIP_TEETH, TOOTH_SIGMAS, Tooth, find_slide, find_teeth
from analysis.pull.spans import highest_of_next, median_of_3, moving_mean, runs
from analysis.trace import FloatArray

#: Share of a lasting abrupt loss that still counts as a break where nothing falls by half.
PARTIAL_LOSS = 0.25
#: A loss of less than half is a break only where the force never again reaches this share of its highest value.
HEALED_SHARE = 0.9
#: A fall is over where less than this share of the force is lost within its width; looked for over so many widths.
SETTLED_SHARE = 0.01
SETTLING_WIDTHS = 8
#: After a whole break the strand's pieces carry less than this share of the force at break.
RESIDUE_SHARE = 0.1
RESIDUE_SIGMAS = 4.0
#: Readings after a break needed to trust the level they stand at.
LEVEL_SAMPLES = 3
#: The force must rise this many noise deviations above where it started, or no strand was pulled.
RISE_SIGMAS = 8.0


@dataclass(frozen=True, slots=True)
class BreakSearch:
    """What the force says about the end of the strand. Indices into the signal's loading part.

    `top` is the last sample before the fall, None where no break was seen; `settled` the first sample at which
    the fall is over. `partial` tells that part of the load stayed. `after_level` is the level after the last fall
    and `u_after` the standard deviation of that mean; None where too few samples show it. `slid_from` is where a
    slow decline began.
    """

    top: int | None
    settled: int | None
    partial: bool
    teeth: tuple[Tooth, ...]
    slid_from: int | None
    after_level: float | None
    u_after: float
    peak: int


def find_break(signal: Signal, after: FloatArray, *, level: float = 0.0) -> BreakSearch:
    """Look for the break in the loading part of a signal.

    Parameters
    ----------
    signal
        The loading part.
    after
        Readings after the loading part (a return stroke), for the level after the break.
    level
        Level of no force [N or counts], for the share that is lost.
    """
    peak = int(np.argmax(median_of_3(signal.force)))
    falls = measure_falls(signal, level, peak)
    y, width = falls.y, falls.width
    teeth = find_teeth(falls)
    at = _first_break(falls, peak, len(teeth))
    top = None if at is None else _flank_top(y, at, width, signal.noise)
    teeth = tuple(tooth for tooth in teeth if top is None or tooth.bottom < top)
    settled = None if at is None else _settled(y, at, width, signal.noise)
    tail = np.concatenate((y, after - level))
    after_level, u_after = _after_level(tail, falls.share, settled, width, signal.noise)
    partial = (
        top is not None
        and settled is not None
        and _is_partial(tail, top, settled, after_level, width, signal.noise)
    )
    slid = find_slide(falls, signal.extension_mm, peak, len(signal) if top is None else top + 1)
    shifted = None if after_level is None else after_level + level
    return BreakSearch(top, settled, partial, teeth, slid, shifted, u_after, peak)


def _first_break(falls: Falls, peak: int, teeth: int) -> int | None:
    """First sample from the highest force on at which the fall is a break."""
    y, share, noise = falls.y, falls.share, falls.noise
    if y[peak] - y[0] <= RISE_SIGMAS * noise and y[peak] <= RISE_SIGMAS * noise:
        return None
    for start, stop in runs(share[peak:] >= PARTIAL_LOSS):
        fall = share[peak + start : peak + stop]
        if fall.max() >= BREAK_LOSS:
            return peak + start + int(np.argmax(fall >= BREAK_LOSS))
        at = peak + start + int(np.argmax(fall))
        if (
            teeth < SLIP_TEETH
            and fall.max() * y[peak] > TOOTH_SIGMAS * noise
            and float(median_of_3(y[at:]).max()) <= HEALED_SHARE * float(y[peak])
        ):
            return at
    return None


def _flank_top(y: FloatArray, at: int, width: int, noise: float) -> int:
    """Top of the falling flank that `at` stands on: the last sample before the fall."""
    first = max(0, at - width)
    height = float(y[first : at + 1].max())
    near = height - max(3.0 * noise, 0.05 * height)
    k = first + int(np.flatnonzero(y[first : at + 1] >= near)[-1])
    while k > 0 and y[k - 1] > y[k]:
        k -= 1
    return k


def _settled(y: FloatArray, at: int, width: int, noise: float) -> int:
    """First sample from `at` on from which the force falls no further, within the width of a fall."""
    first = max(0, at - width)
    height = float(y[first : at + 1].max())
    still = max(SETTLED_SHARE * height, 4.0 * noise)
    rest = moving_mean(y[at : at + SETTLING_WIDTHS * width], 0 if still <= SETTLED_SHARE * height else 2)
    lowest = -highest_of_next(-rest, width)
    over = np.flatnonzero(rest - lowest <= still)
    return at + (int(over[0]) if over.size else rest.size - 1)


def _after_level(
    tail: FloatArray, share: FloatArray, settled: int | None, width: int, noise: float
) -> tuple[float | None, float]:
    """Level after the last fall, and the standard deviation of that mean."""
    if settled is None:
        return None, 0.0
    later = np.flatnonzero(share[settled + width :] >= BREAK_LOSS)
    start = (
        settled
        if later.size == 0
        else min(_settled(tail, settled + width + int(later[-1]), width, noise), tail.size)
    )
    rest = tail[start:]
    if rest.size < LEVEL_SAMPLES:
        return None, 0.0
    u = max(float(np.std(rest)), noise) / np.sqrt(rest.size)
    return float(np.median(rest)), u


def _is_partial(
    tail: FloatArray, top: int, settled: int, after_level: float | None, width: int, noise: float
) -> bool:
    """Whether part of the load stayed, or came back, after the first fall: for as long as a fall may take."""
    rest = tail[settled:]
    if rest.size == 0:
        return False
    bottom = min(after_level, 0.0) if after_level is not None else 0.0
    count = min(width, rest.size)
    held = float(np.convolve(rest, np.full(count, 1.0 / count), mode="valid").max()) - bottom
    return held > max(RESIDUE_SHARE * (float(tail[top]) - bottom), RESIDUE_SIGMAS * noise)
