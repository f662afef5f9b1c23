"""Which samples of a trace can be used, and what is wrong with the others.

Owns the checks on single samples and on the channel: readings that stand alone (glitches), gaps, the ends of the
amplifier's range, frozen readings, time that runs backwards. Must not know what a break or a strand is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.results import Flag
from analysis.spans import longest_run, median_of_3, runs
from analysis.trace import FloatArray, IntArray, Trace

BoolArray = NDArray[np.bool_]

#: Bits of a recording's `flags` column (recordings/README.md): at the end of the amplifier's range; dropped before.
SATURATED_BIT = 1 << 6
DROPPED_BIT = 1 << 7
#: A reading stands alone when it is this many noise deviations and this share of the span from both neighbours.
GLITCH_SIGMAS = 12.0
GLITCH_SHARE = 0.05
#: An interval this many times the usual one is a gap; more than the share of such intervals is irregular sampling.
GAP_FACTOR = 3.5
IRREGULAR_SHARE = 0.1
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


@dataclass(frozen=True, slots=True)
class Signal:
    """The usable samples of a pull, equal lengths; `source` says which sample of the trace each one is.

    `force` is in newtons where `in_newtons`, else in counts turned so that tension is positive. `noise` is the
    standard deviation of one reading, never below the resolution's share. `saturated` marks readings at the end
    of the range; `gap_before` marks samples with missing readings just before them.
    """

    force: FloatArray
    extension_mm: FloatArray | None
    time_s: FloatArray | None
    source: IntArray
    saturated: BoolArray
    gap_before: BoolArray
    in_newtons: bool
    noise: float
    flags: tuple[Flag, ...]
    #: Why the whole pull can't be used; empty where it can.
    spoilt: str = ""

    def __len__(self) -> int:
        return self.force.size

    def part(self, start: int, stop: int) -> Signal:
        """The samples from `start` up to, not with, `stop`."""
        cut = slice(start, stop)
        return replace(
            self,
            force=self.force[cut],
            extension_mm=None if self.extension_mm is None else self.extension_mm[cut],
            time_s=None if self.time_s is None else self.time_s[cut],
            source=self.source[cut],
            saturated=self.saturated[cut],
            gap_before=self.gap_before[cut],
        )

    def with_extension(self, extension_mm: FloatArray) -> Signal:
        """The same with another extension."""
        return replace(self, extension_mm=extension_mm)


def screen(trace: Trace) -> Signal | str:
    """Sort out the samples of a trace; a sentence where there is no force to look at."""
    raw = trace.force_n if trace.force_n is not None else trace.counts
    if raw is None:
        return "there is no force in the data: name the column that holds it"
    keep = _finite(trace, np.asarray(raw, dtype=np.float64))
    keep[: _first_row(trace)] = False
    at_end = _at_range_end(trace, raw.size)
    force = np.asarray(raw, dtype=np.float64)
    if trace.force_n is None:
        force = _tension_up(force, keep)
    flags: list[Flag] = []
    rows = np.flatnonzero(keep)
    lone = _lone_readings(force[rows]) | _lone_range_ends(at_end[rows])
    if lone.any():
        flags.append(_glitch_flag(trace, rows[lone]))
    rows = rows[~lone]
    return _sorted_out(trace, force, rows, at_end, flags)


def _sorted_out(trace: Trace, force: FloatArray, rows: IntArray, at_end: BoolArray, flags: list[Flag]) -> Signal:
    y = force[rows]
    x = None if trace.extension_mm is None else trace.extension_mm[rows]
    t = _usable_time(trace, rows, flags)
    gap_before = _gaps(trace, rows, t, flags)
    saturated = at_end[rows] | _flat_top(y, x, known_range=trace.full_scale_counts is not None)
    if saturated.any():
        many = f"{int(saturated.sum())} readings are at the end of the amplifier's range (a flat top)"
        flags.append(Flag("saturated", f"{many}: forces there are not known"))
    spoilt = _frozen(y, x, saturated, flags)
    resolution = trace.force_resolution_n if trace.force_n is not None else 1.0
    return Signal(
        force=y,
        extension_mm=x,
        time_s=t,
        source=rows.astype(np.int64),
        saturated=saturated,
        gap_before=gap_before,
        in_newtons=trace.force_n is not None,
        noise=max(white_noise(y), (resolution or 0.0) / np.sqrt(12.0)),
        flags=tuple(flags),
        spoilt=spoilt,
    )


def white_noise(y: FloatArray) -> float:
    """Standard deviation of one reading, from second differences (they take out any smooth curve).

    The median of |second differences| over 0.6745 is their deviation whatever breaks and slips are in the data;
    each holds sqrt(6) deviations of one reading.
    """
    if y.size < 5:
        return 0.0
    return float(np.median(np.abs(np.diff(y, 2))) / (0.6745 * np.sqrt(6.0)))


def _first_row(trace: Trace) -> int:
    """Row of the sample at which the pull started; what stands before it is the mounting of the strand."""
    for mark in trace.marks:
        if mark.kind == "started":
            return mark.row
    return 0


def _finite(trace: Trace, force: FloatArray) -> BoolArray:
    keep = np.isfinite(force)
    if trace.extension_mm is not None:
        keep &= np.isfinite(trace.extension_mm)
    return keep


def _at_range_end(trace: Trace, n: int) -> BoolArray:
    at_end = np.zeros(n, dtype=bool)
    if trace.counts is not None and trace.full_scale_counts:
        at_end |= np.abs(trace.counts) >= trace.full_scale_counts - 1
    if trace.flags is not None:
        at_end |= (trace.flags & SATURATED_BIT) != 0
    return at_end


def _tension_up(counts: FloatArray, keep: BoolArray) -> FloatArray:
    """Counts from their first level, turned so that the larger excursion is positive."""
    used = median_of_3(counts[keep])
    if used.size == 0:
        return counts
    y = counts - np.median(used[:3])
    reach = used - np.median(used[:3])
    return -y if -reach.min() > reach.max() else y


def _lone_readings(y: FloatArray) -> BoolArray:
    """Single readings, or two together, far outside both neighbours and gone again."""
    lone = np.zeros(y.size, dtype=bool)
    if y.size < 5:
        return lone
    smooth = median_of_3(median_of_3(y))
    span = float(smooth.max() - smooth.min())
    far = max(GLITCH_SIGMAS * white_noise(y), GLITCH_SHARE * span)
    step = np.diff(y)
    dev = np.maximum(np.minimum(step[:-1], -step[1:]), np.minimum(-step[:-1], step[1:]))
    back = np.abs(y[2:] - y[:-2])
    lone[1:-1] = (dev > far) & ((back < 0.5 * dev) | (dev > 0.5 * span))
    pair_up = np.minimum(y[1:-2], y[2:-1]) - np.maximum(y[:-3], y[3:])
    pair_down = np.minimum(y[:-3], y[3:]) - np.maximum(y[1:-2], y[2:-1])
    pairs = np.flatnonzero(np.maximum(pair_up, pair_down) > max(span, far))
    lone[pairs + 1] = lone[pairs + 2] = True
    lone[-1] = y[-1] - y[-2] > max(far, 0.5 * span) or y[-1] < smooth.min() - span
    lone[0] = min(y[0] - y[1], y[0] - y[2]) > far or y[0] < smooth[1:].min() - span
    return lone


def _lone_range_ends(at_end: BoolArray) -> BoolArray:
    """Up to two readings at the end of the range with ordinary ones around them."""
    lone = np.zeros(at_end.size, dtype=bool)
    if not at_end.any():
        return lone
    for start, stop in runs(at_end):
        around = at_end[max(0, start - 10) : stop + 10].sum() - (stop - start)
        if stop - start <= 2 and around == 0:
            lone[start:stop] = True
    return lone


def _glitch_flag(trace: Trace, rows: IntArray) -> Flag:
    at = "" if trace.time_s is None else f" (first at {trace.time_s[rows[0]]:.2f} s)"
    if rows.size == 1:
        return Flag("glitch", f"1 reading stood alone far from its neighbours{at} and was left out")
    return Flag("glitch", f"{rows.size} readings stood alone far from their neighbours{at} and were left out")


def _usable_time(trace: Trace, rows: IntArray, flags: list[Flag]) -> FloatArray | None:
    if trace.time_s is None or not np.isfinite(trace.time_s[rows]).all():
        return None
    t = trace.time_s[rows]
    if (np.diff(t) < 0.0).any():
        flags.append(Flag("time_order", "the time column runs backwards in places: time was not used"))
        return None
    return t


def _gaps(trace: Trace, rows: IntArray, t: FloatArray | None, flags: list[Flag]) -> BoolArray:
    """Samples before which readings are missing: by the clock, by the board's own flag, by the recorder's mark."""
    before = np.zeros(rows.size, dtype=bool)
    longest = 0.0
    if t is not None and t.size > 3:
        dt = np.diff(t)
        usual = float(np.median(dt))
        late = dt > GAP_FACTOR * usual
        if usual > 0.0 and late.mean() <= IRREGULAR_SHARE:
            before[1:] |= late
            longest = float(dt[late].max()) if late.any() else 0.0
    if trace.flags is not None:
        before |= (trace.flags[rows] & DROPPED_BIT) != 0
    marked = [m.row for m in trace.marks if m.kind == "gap"]
    if marked and rows.size:
        at = np.searchsorted(rows, marked)
        before[at[at < rows.size]] = True
    before[:1] = False
    if before.any():
        long = f", the longest {longest:.2f} s" if longest else ""
        flags.append(Flag("gap", f"readings are missing in {int(before.sum())} place(s){long}"))
    return before


def _is_fine(y: FloatArray) -> bool:
    """Whether the force scale is fine enough for exact repeats to mean something."""
    steps = np.abs(np.diff(y))
    steps = steps[steps > 0.0]
    return steps.size > 0 and float(y.max() - y.min()) >= FINE_STEPS * float(steps.min())


def _span_share(x: FloatArray | None, n: int, start: int, stop: int) -> float:
    """Share of the pull that the samples from `start` to `stop` cover, in extension where there is one."""
    if x is None or float(np.ptp(x)) <= 0.0:
        return (stop - start) / max(n, 1)
    return float(abs(x[stop - 1] - x[start]) / np.ptp(x))


def _flat_top(y: FloatArray, x: FloatArray | None, *, known_range: bool) -> BoolArray:
    """Exact repeats of the largest reading, where the amplifier's range is not known."""
    flat = np.zeros(y.size, dtype=bool)
    if known_range or y.size < 2 * FLAT_SAMPLES or not _is_fine(y):
        return flat
    at_top = y == y.max()
    start, stop = longest_run(at_top)
    if stop - start >= FLAT_SAMPLES and stop < y.size and _span_share(x, y.size, start, stop) >= FLAT_SHARE:
        return np.asarray(at_top)
    return flat


def _frozen(y: FloatArray, x: FloatArray | None, saturated: BoolArray, flags: list[Flag]) -> str:
    """Flag a channel that repeats one reading under load while the stage moves; why it spoils the pull, or ""."""
    if y.size < FROZEN_SAMPLES:
        return ""
    if float(np.ptp(y)) == 0.0:
        flags.append(Flag("frozen", "the force channel gave one and the same reading all the time"))
        return "the force channel is frozen: check the amplifier's wiring, then pull another strand"
    same = np.zeros(y.size, dtype=bool)
    same[1:] = y[1:] == y[:-1]
    loaded = np.abs(y - y[0]) > 0.1 * np.ptp(y)
    start, stop = longest_run(same & ~saturated & loaded)
    start = max(start - 1, 0)
    share = _span_share(x, y.size, start, stop)
    if stop - start < FROZEN_SAMPLES or share < FROZEN_SHARE or not _is_fine(y):
        return ""
    flags.append(
        Flag("frozen", f"the force channel repeated one reading {stop - start} times while the stage moved")
    )
    if share >= FROZEN_SPOILS or stop >= y.size - 1 or abs(y[stop] - y[start]) > 0.5 * abs(y[start]):
        return "the force channel froze during the pull: check the amplifier's wiring, then pull another strand"
    return ""
