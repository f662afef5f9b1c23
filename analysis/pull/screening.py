"""Which samples of a trace can be used, and what is wrong with the others.

Owns the order of the checks (glitches, frozen channel, gaps, flat tops) and what is left after them. Must not know
what a break or a strand is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.pull.channel import at_range_end, flat_top, frozen
from analysis.pull.glitches import lone_range_ends, lone_readings, white_noise
from analysis.pull.spans import median_of_3
from analysis.results import Flag
from analysis.trace import FloatArray, IntArray, Trace

BoolArray = NDArray[np.bool_]

#: Bit of a recording's `flags` column: readings before this one were dropped.
DROPPED_BIT = 1 << 7
#: An interval this many times the usual one is a gap; more than the share of such intervals is irregular sampling.
GAP_FACTOR = 3.5
IRREGULAR_SHARE = 0.1


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
    force = np.asarray(raw, dtype=np.float64)
    keep = _finite(trace, force)
    keep[: _first_row(trace)] = False
    if trace.force_n is None:
        force = _tension_up(force, keep)
    at_end = at_range_end(trace, force.size)
    rows = np.flatnonzero(keep)
    lone = lone_readings(force[rows]) | lone_range_ends(at_end[rows])
    flags = [_glitch_flag(trace, rows[lone])] if lone.any() else []
    rows = rows[~lone]
    spoilt, repeated = _repeated(trace, force, rows, at_end, flags)
    return _sorted_out(trace, force, rows[~repeated], at_end, flags, spoilt)


def _repeated(
    trace: Trace, force: FloatArray, rows: IntArray, at_end: BoolArray, flags: list[Flag]
) -> tuple[str, BoolArray]:
    """Readings that repeat a frozen one, to be left out; and why they spoil the pull, or ""."""
    repeated = np.zeros(rows.size, dtype=bool)
    y, x = force[rows], None if trace.extension_mm is None else trace.extension_mm[rows]
    top = at_end[rows] | flat_top(y, x, known_range=trace.full_scale_counts is not None)
    found = frozen(y, x, top)
    if found is None:
        return "", repeated
    text = f"the force channel repeated one reading {found.stop - found.start} times while the stage moved"
    flags.append(Flag("frozen", found.spoils or f"{text}: those were left out"))
    repeated[found.start + 1 : found.stop] = not found.spoils
    return found.spoils, repeated


def _sorted_out(
    trace: Trace, force: FloatArray, rows: IntArray, at_end: BoolArray, flags: list[Flag], spoilt: str
) -> Signal:
    y = force[rows]
    x = None if trace.extension_mm is None else trace.extension_mm[rows]
    t = _usable_time(trace, rows, flags)
    gap_before = _gaps(trace, rows, t, flags)
    saturated = at_end[rows] | flat_top(y, x, known_range=trace.full_scale_counts is not None)
    if saturated.any():
        many = f"{int(saturated.sum())} readings are at the end of the amplifier's range (a flat top)"
        flags.append(Flag("saturated", f"{many}: forces there are not known"))
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


def _glitch_flag(trace: Trace, rows: IntArray) -> Flag:
    at = "" if trace.time_s is None else f" (first at {trace.time_s[rows[0]]:.2f} s)"
    if rows.size == 1:
        return Flag("glitch", f"1 reading stood alone far from its neighbours{at} and was left out")
    return Flag("glitch", f"{rows.size} readings stood alone far from their neighbours{at} and were left out")


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


def _tension_up(counts: FloatArray, keep: BoolArray) -> FloatArray:
    """Counts from their first level, turned so that the larger excursion is positive."""
    used = median_of_3(counts[keep])
    if used.size == 0:
        return counts
    y = counts - np.median(used[:3])
    reach = used - np.median(used[:3])
    return -y if -reach.min() > reach.max() else y


def _usable_time(trace: Trace, rows: IntArray, flags: list[Flag]) -> FloatArray | None:
    if trace.time_s is None or not np.isfinite(trace.time_s[rows]).all():
        return None
    t = trace.time_s[rows]
    if (np.diff(t) < 0.0).any():
        flags.append(Flag("time_order", "the time column runs backwards in places: time was not used"))
        return None
    return t


def _late(steps: FloatArray) -> BoolArray:
    """Steps much longer than the usual one; none where the steps are irregular anyway."""
    going = steps[steps > 0.0]
    if going.size < 4:
        return np.zeros(steps.size, dtype=bool)
    late = steps > GAP_FACTOR * float(np.median(going))
    return late if late.mean() <= IRREGULAR_SHARE else np.zeros(steps.size, dtype=bool)


def _gaps(trace: Trace, rows: IntArray, t: FloatArray | None, flags: list[Flag]) -> BoolArray:
    """Samples before which readings are missing: by the clock, by the board's own flag, by the recorder's mark."""
    before = np.zeros(rows.size, dtype=bool)
    x = None if trace.extension_mm is None else trace.extension_mm[rows]
    longest = 0.0
    if t is not None:
        before[1:] = late = _late(np.diff(t))
        longest = float(np.diff(t)[late].max()) if late.any() else 0.0
    elif x is not None:
        before[1:] = _late(np.abs(np.diff(x)))
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
