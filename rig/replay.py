"""A recording as the batches it was made from: at once, or paced as it was recorded.

What is replayed has the same type as what is live, so that whoever draws need not know. Knows no files: it is
handed a recording that was read.
"""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections.abc import Iterator
from itertools import pairwise

from recordings.format import Recording
from rig.clock import Clock
from rig.samples import SampleBatch
from rig.scale import Scale

#: Rows in one batch of an instant replay.
BATCH_ROWS = 256
#: How often a paced replay gives a batch [s].
PACE_S = 0.02


def scale_of(recording: Recording) -> Scale:
    """Newtons and millimetres as they were shown during the pull."""
    header, rows = recording.header, recording.rows
    zero_counts: float = 0.0
    start_row = 0
    for mark in recording.marks:
        counts = mark.data.get("counts")
        if mark.kind == "zeroed" and isinstance(counts, int | float):
            zero_counts = float(counts)
        if mark.kind == "started":
            start_row = mark.row
    start_steps = rows.steps[min(start_row, len(rows) - 1)] if len(rows) else 0
    gauge = header.specimen.gauge_length_mm
    return Scale(header.force_calibration, header.extension_calibration, gauge, zero_counts, start_steps)


def batches_of(recording: Recording, size: int = BATCH_ROWS) -> Iterator[SampleBatch]:
    """All rows in order, in batches that end where something was lost."""
    lost = _lost_before(recording)
    cuts = sorted({*range(0, len(recording.rows), size), *(row for row in lost if row < len(recording.rows))})
    for first, last in pairwise([*cuts, len(recording.rows)]):
        yield _batch(recording, first, last, lost.get(first, 0))


def paced(recording: Recording, clock: Clock, speed: float = 1.0) -> Iterator[SampleBatch]:
    """The same rows, each when its time has come; `speed` 2 is twice as fast as recorded."""
    if not len(recording.rows):
        return
    times, lost = recording.rows.t_us, _lost_before(recording)
    stops = sorted({*lost, len(times)})
    began_s, done, pause = clock.now_s(), 0, threading.Condition()
    while done < len(times):
        reached_us = times[0] + (clock.now_s() - began_s) * speed * 1e6
        due = bisect_right(times, reached_us, lo=done)
        while done < due:
            last = min(due, next(stop for stop in stops if stop > done))
            yield _batch(recording, done, last, lost.get(done, 0))
            done = last
        if done < len(times):
            with pause:
                clock.wait(pause, PACE_S)


def _lost_before(recording: Recording) -> dict[int, int]:
    """How many samples were lost before a row, by row."""
    lost: dict[int, int] = {}
    for mark in recording.marks:
        count = mark.data.get("lost")
        if mark.kind == "gap" and isinstance(count, int):
            lost[mark.row] = lost.get(mark.row, 0) + count
    return lost


def _batch(recording: Recording, first: int, last: int, lost: int) -> SampleBatch:
    rows = recording.rows
    return SampleBatch(
        tuple(rows.t_us[first:last]),
        tuple(rows.counts[first:last]),
        tuple(rows.steps[first:last]),
        tuple(rows.flags[first:last]),
        lost,
    )
