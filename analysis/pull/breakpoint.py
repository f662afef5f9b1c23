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

from analysis.pull.screening import Signal
from analysis.pull.spans import highest_of_next, median_of_3, running_max, runs
from analysis.trace import FloatArray, IntArray

#: Share of the force that a break loses; the same rule that stops the motor.
BREAK_LOSS = 0.5
#: Share of a lasting abrupt loss that still counts as a break where nothing falls by half.
PARTIAL_LOSS = 0.25
#: A loss of less than half is a break only where the force never again reaches this share of its highest value.
HEALED_SHARE = 0.9
#: So many readings in a row must be low.
LOW_SAMPLES = 3
#: A fall is abrupt when it is over within this time [s], this share of the extension reached, or so many samples.
FALL_S = 0.12
FALL_SHARE = 0.02
FALL_SAMPLES = 6
#: A tooth loses this share of the force and this many noise deviations.
TOOTH_LOSS = 0.04
TOOTH_SIGMAS = 10.0
#: So many teeth are a slipping clamp; fewer are told as a flag.
SLIP_TEETH = 3
#: A slow loss of this share of the highest force is a strand sliding out of its clamp, even if it lets go at last.
SLIDE_LOSS = 0.15
#: A fall is over where less than this share of the force is lost within its width; looked for over so many widths.
SETTLED_SHARE = 0.01
SETTLING_WIDTHS = 8
#: After a whole break the strand's pieces carry less than this share of the force at break.
RESIDUE_SHARE = 0.1
#: Readings after a break needed to trust the level they stand at.
LEVEL_SAMPLES = 3
#: The force must rise this many noise deviations above where it started, or no strand was pulled.
RISE_SIGMAS = 8.0


@dataclass(frozen=True, slots=True)
class Tooth:
    """A fall that healed: the samples at its top and its bottom, and the share of the force it lost."""

    top: int
    bottom: int
    loss: float


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
    bounds = [w for w in (by_time, by_way) if w]
    return max(FALL_SAMPLES, min(bounds) if bounds else 0)


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
    y = signal.force - level
    peak = int(np.argmax(median_of_3(y)))
    width = fall_width(signal, peak)
    before = running_max(y, width)
    lost = before - _highest_after(y)
    share = np.where(before > TOOTH_SIGMAS * signal.noise, lost / np.maximum(before, 1e-300), 0.0)
    teeth = _teeth(y, share, lost, signal.noise, width)
    at = _first_break(y, share, peak, signal.noise, len(teeth))
    top = None if at is None else _flank_top(y, at, width, signal.noise)
    teeth = tuple(tooth for tooth in teeth if top is None or tooth.bottom < top)
    settled = None if at is None else _settled(y, at, width, signal.noise)
    tail = np.concatenate((y, after - level))
    after_level, u_after = _after_level(tail, share, settled, width, signal.noise)
    partial = top is not None and settled is not None and _is_partial(tail, top, settled, after_level)
    stop = len(signal) if top is None else top + 1
    torn = bool((share[peak : max(stop - width, peak)] >= TOOTH_LOSS).any()) and top is not None
    slid = None if torn else _slide(signal, y, peak, stop)
    shifted = None if after_level is None else after_level + level
    return BreakSearch(top, settled, partial, teeth, slid, shifted, u_after, peak)


def _highest_after(y: FloatArray) -> FloatArray:
    """Highest of each sample and the two after it; at the very end, of those that are left."""
    return highest_of_next(y, LOW_SAMPLES)


def _first_break(y: FloatArray, share: FloatArray, peak: int, noise: float, teeth: int) -> int | None:
    """First sample from the highest force on at which the fall is a break."""
    if y[peak] - y[0] <= RISE_SIGMAS * noise and y[peak] <= RISE_SIGMAS * noise:
        return None
    for start, stop in runs(share[peak:] >= PARTIAL_LOSS):
        fall = share[peak + start : peak + stop]
        if fall.max() >= BREAK_LOSS:
            return peak + start + int(np.argmax(fall >= BREAK_LOSS))
        at = peak + start + int(np.argmax(fall))
        if teeth < SLIP_TEETH and float(median_of_3(y[at:]).max()) <= HEALED_SHARE * float(y[peak]):
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
    rest = y[at : at + SETTLING_WIDTHS * width]
    still = max(SETTLED_SHARE * float(y[first : at + 1].max()), 4.0 * noise)
    lowest = -highest_of_next(-rest, width)
    return at + int(np.argmax(rest - lowest <= still))


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


def _is_partial(tail: FloatArray, top: int, settled: int, after_level: float | None) -> bool:
    """Whether part of the load stayed, or came back, after the first fall."""
    rest = median_of_3(tail[settled:])
    bottom = min(after_level, 0.0) if after_level is not None else 0.0
    height = float(tail[top]) - bottom
    if rest.size < LEVEL_SAMPLES:
        return bool(rest.size and float(rest.min()) - bottom > RESIDUE_SHARE * height)
    return float(rest.max()) - bottom > RESIDUE_SHARE * height


def _teeth(y: FloatArray, share: FloatArray, lost: FloatArray, noise: float, width: int) -> tuple[Tooth, ...]:
    """Falls of less than half after which the force rose again by half of what was lost."""
    stop = y.size
    falling = (share >= TOOTH_LOSS) & (lost >= TOOTH_SIGMAS * noise)
    found: list[Tooth] = []
    spans = runs(falling)
    for k, (a, b) in enumerate(spans):
        last = spans[k + 1][0] if k + 1 < len(spans) else stop
        first = max(0, a - width)
        top = first + int(np.argmax(y[first : a + 1]))
        bottom = a + int(np.argmin(y[a : min(b + LOW_SAMPLES, stop)]))
        fall = float(y[top] - y[bottom])
        if (
            0.0 < fall < BREAK_LOSS * float(y[top])
            and float(y[bottom : last + 1].max()) - float(y[bottom]) >= 0.5 * fall
        ):
            found.append(Tooth(top, bottom, fall / float(y[top])))
    return tuple(found)


def _slide(signal: Signal, y: FloatArray, peak: int, stop: int) -> int | None:
    """First sample near the highest force, where the force then declined slowly while the stage moved."""
    x = None if signal.extension_mm is None else signal.extension_mm[:stop]
    y = y[:stop]
    moving = np.ones(y.size, dtype=bool) if x is None else _moving(x)
    last = np.flatnonzero(moving)
    if last.size == 0 or last[-1] <= peak or y[peak] <= 0.0:
        return None
    end = int(last[-1]) + 1
    final = float(np.median(y[max(peak, end - 5) : end]))
    if y[peak] - final < max(SLIDE_LOSS * y[peak], TOOTH_SIGMAS * signal.noise):
        return None
    near = y[: peak + 1] >= 0.95 * float(y[peak])
    return int(np.flatnonzero(near)[0])


def _moving(x: FloatArray) -> IntArray:
    """Samples during which the stage went on, as a mask."""
    step = np.diff(x, prepend=x[0])
    usual = float(np.median(step[step > 0.0])) if (step > 0.0).any() else 0.0
    return np.asarray(step > 0.2 * usual)
