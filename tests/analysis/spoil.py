"""Ways to spoil a trace, for the tests: each gives a new trace with one thing wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from analysis.trace import Trace
from recordings.format import Mark
from tests.analysis.curves import Array

#: What the tests' amplifier shows at full scale [N]: 2^23 counts of 0.15 uN are 1.26 N; other rigs go further.
FULL_SCALE_N = 3.0


def force(trace: Trace) -> Array:
    """The forces of a trace that has them, to be changed."""
    assert trace.force_n is not None
    return trace.force_n.copy()


def with_force(trace: Trace, force_n: Array) -> Trace:
    """The same pull with other forces; counts follow where there are any."""
    counts = None
    if trace.counts is not None and trace.force_calibration is not None:
        counts = np.rint(force_n / trace.force_calibration.n_per_count).astype(np.int64)
    return replace(trace, force_n=force_n, counts=counts, full_scale_counts=None)


def with_glitch(trace: Trace, at: int, height_n: float = FULL_SCALE_N) -> Trace:
    """One reading at full scale."""
    changed = force(trace)
    changed[at] = height_n
    return with_force(trace, changed)


def without(trace: Trace, start: int, stop: int) -> Trace:
    """The pull with the samples from start to stop lost."""
    keep = np.ones(len(force(trace)), dtype=bool)
    keep[start:stop] = False
    return only(trace, keep)


def only(trace: Trace, keep: Any) -> Trace:
    """The samples that an index or mask chooses."""
    return replace(
        trace,
        time_s=None if trace.time_s is None else trace.time_s[keep],
        force_n=None if trace.force_n is None else trace.force_n[keep],
        extension_mm=None if trace.extension_mm is None else trace.extension_mm[keep],
        counts=None if trace.counts is None else trace.counts[keep],
        flags=None if trace.flags is None else trace.flags[keep],
    )


def cut_off_at(trace: Trace, ceiling_n: float) -> Trace:
    """An amplifier that ends at this force: readings above are at the end of the range."""
    limit = round(ceiling_n / (trace.force_calibration.n_per_count if trace.force_calibration else 1.5e-7))
    cut = with_force(trace, np.minimum(force(trace), ceiling_n))
    if trace.counts is None:
        return cut
    return replace(cut, counts=np.minimum(trace.counts, limit), full_scale_counts=limit)


def frozen(trace: Trace, start: int, stop: int) -> Trace:
    """A channel that repeats its reading at `start` up to `stop`."""
    changed = force(trace)
    changed[start:stop] = changed[start]
    return replace(with_force(trace, changed), full_scale_counts=trace.full_scale_counts)


def marked(trace: Trace, kind: str, row: int = 0, **data: Any) -> Trace:
    """The pull with one more mark."""
    return replace(trace, marks=(*trace.marks, Mark(kind, row, data=data)))
