"""A recording of several phases taken into its parts, with the level of no force held against every slack moment.

Owns which rows belong to which phase, and the zero of force between them. Must not know what a phase is measured
for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.pull.glitches import white_noise
from analysis.pull.screening import Signal, screen
from analysis.results import Flag
from analysis.trace import FloatArray, Trace
from analysis.words import short

#: Kinds of a method that have several phases.
KINDS = ("proof", "hold", "stretch_return")
#: Readings whose level is taken while the strand hangs slack: a quarter of a second of a usual amplifier.
LEVEL_READINGS = 20
LEAST_LEVEL_READINGS = 5
#: The strand hangs slack where the level is this close to zero: noise deviations of one reading, share of the peak.
SLACK_SIGMAS = 5.0
SLACK_SHARE = 0.03


@dataclass(frozen=True, slots=True)
class Part:
    """One phase: its name and its rows, from `start` up to, not with, `stop`."""

    name: str
    start: int
    stop: int


@dataclass(frozen=True, slots=True)
class Phased:
    """A recording of several phases, its forces from a zero that was checked where the strand hung slack.

    `slack_after` tells whether it hung slack when it was back; where it did not, why.
    """

    trace: Trace
    parts: tuple[Part, ...]
    slack_after: bool
    why_not_slack: str = ""
    flags: tuple[Flag, ...] = ()

    def part(self, name: str) -> Part | None:
        """The first part of that name; None where the recording does not reach so far."""
        return next((part for part in self.parts if part.name == name), None)

    def signal(self, part: Part) -> Signal | None:
        """The usable readings of a part; None where there are none."""
        if part.stop - part.start < 3:
            return None
        found = screen(rows_of(self.trace, part.start, part.stop))
        return None if isinstance(found, str) or found.spoilt else found


def phased(trace: Trace) -> Phased:
    """Take a recording into its parts and check its zero."""
    parts = parts_of(trace)
    if trace.force_n is None or trace.extension_mm is None or trace.time_s is None or not parts:
        return Phased(trace, parts, slack_after=False, why_not_slack="there is no force or no position")
    return _levelled(trace, parts)


def parts_of(trace: Trace) -> tuple[Part, ...]:
    """The phases that the recording's marks name, in order."""
    n = 0 if trace.time_s is None else int(trace.time_s.size)
    marks = [mark for mark in trace.marks if mark.kind == "phase"]
    starts = [min(mark.row, n) for mark in marks]
    return tuple(
        Part(str(mark.data.get("name", "")), start, stop)
        for mark, start, stop in zip(marks, starts, [*starts, n][1:], strict=True)
    )


def rows_of(trace: Trace, start: int, stop: int) -> Trace:
    """Some rows of a trace as a trace of its own, with the marks that lie among them."""
    cut = slice(start, stop)
    return replace(
        trace,
        time_s=None if trace.time_s is None else trace.time_s[cut],
        force_n=None if trace.force_n is None else trace.force_n[cut],
        extension_mm=None if trace.extension_mm is None else trace.extension_mm[cut],
        counts=None if trace.counts is None else trace.counts[cut],
        flags=None if trace.flags is None else trace.flags[cut],
        marks=tuple(replace(m, row=m.row - start) for m in trace.marks if start <= m.row < stop),
    )


def stretch_of(found: Phased) -> Trace:
    """The first stretch as a pull of its own, from the start up to where the stage stood furthest."""
    trace, part = found.trace, found.part("stretch") or found.parts[0]
    x = trace.extension_mm
    assert x is not None
    moved = np.abs(x[: part.stop] - x[0])
    stop = int(np.argmax(moved)) + 1
    carried_out = len(found.parts) > found.parts.index(part) + 1
    cut = rows_of(trace, 0, stop)
    marks = tuple(mark for mark in cut.marks if mark.kind != "phase")
    return replace(cut, marks=marks, end_reason="done" if carried_out else trace.end_reason)


def _levelled(trace: Trace, parts: tuple[Part, ...]) -> Phased:
    """Take the wandering of the zero out, from what the force was whenever the strand hung slack."""
    assert trace.force_n is not None
    assert trace.time_s is not None
    moments = _slack_moments(trace, parts)
    if not moments:
        return Phased(trace, parts, slack_after=False, why_not_slack="the strand was not let back")
    noise = white_noise(trace.force_n)
    peak = float(np.max(trace.force_n))
    levels = [float(np.median(trace.force_n[start:stop])) for start, stop in moments]
    near = max(SLACK_SIGMAS * noise, SLACK_SHARE * peak)
    if levels[0] > near:
        text = f"the force stands at {short(levels[0])} N when the stage is back, instead of zero"
        advice = "mount the strand with a little slack, and do not touch the rig"
        return Phased(trace, parts, slack_after=False, why_not_slack=f"{text}: {advice}")
    if levels[0] < -near:
        return _moved_down(trace, parts, levels[0])
    kept = [(m, level) for m, level in zip(moments, levels, strict=True) if abs(level) <= near]
    times = [float(trace.time_s[0]), *(float(np.mean(trace.time_s[a:b])) for (a, b), _ in kept)]
    zero = np.interp(trace.time_s, times, [0.0, *(level for _, level in kept)])
    u = float(np.hypot(trace.u_zero_n or 0.0, abs(levels[0]) / np.sqrt(12.0)))
    return Phased(replace(trace, force_n=trace.force_n - zero, u_zero_n=u), parts, slack_after=True)


def _moved_down(trace: Trace, parts: tuple[Part, ...], level: float) -> Phased:
    assert trace.force_n is not None
    text = f"the force stands at {short(level)} N with the strand slack: the zero was taken with the strand under "
    flag = Flag("zero_under_tension", f"{text}tension, so the level after the way back was taken as zero")
    return Phased(replace(trace, force_n=trace.force_n - level), parts, slack_after=True, flags=(flag,))


def _slack_moments(trace: Trace, parts: tuple[Part, ...]) -> list[tuple[int, int]]:
    """Rows during which the stage stood where it began, after a way back: at its end, before and after a rest."""
    x = trace.extension_mm
    assert x is not None
    found = []
    for number, part in enumerate(parts):
        if part.name not in ("return", "let_go") or part.stop - part.start < LEAST_LEVEL_READINGS:
            continue
        arrived = _standing_from(x, part)
        following = parts[number + 1] if number + 1 < len(parts) else None
        rests = following is not None and following.name == "rest"
        stop = following.stop if following is not None and rests else part.stop
        for start in {arrived, max(arrived, stop - LEVEL_READINGS)}:
            if stop - start >= LEAST_LEVEL_READINGS:
                found.append((start, min(start + LEVEL_READINGS, stop)))
    return sorted(found)


def _standing_from(x: FloatArray, part: Part) -> int:
    """First row of a part from which on the stage stands at the part's last position."""
    away = np.flatnonzero(x[part.start : part.stop] != x[part.stop - 1])
    return part.start + (int(away[-1]) + 1 if away.size else 0)
