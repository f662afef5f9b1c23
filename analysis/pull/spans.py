"""Small tools on arrays: runs of true values, running extremes, the median of three.

Must not know what the arrays hold.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def runs(mask: BoolArray) -> list[tuple[int, int]]:
    """Start and end (exclusive) of every run of true values."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], mask, [False]))))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def longest_run(mask: BoolArray) -> tuple[int, int]:
    """Start and end (exclusive) of the longest run of true values; (0, 0) where there is none."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], mask, [False]))))
    if edges.size == 0:
        return 0, 0
    k = int(np.argmax(edges[1::2] - edges[::2]))
    return int(edges[2 * k]), int(edges[2 * k + 1])


def median_of_3(y: FloatArray) -> FloatArray:
    """Each value replaced by the median of itself and its two neighbours; the ends stay."""
    if y.size < 3:
        return y.copy()
    out = y.copy()
    a, b, c = y[:-2], y[1:-1], y[2:]
    out[1:-1] = np.maximum(np.minimum(a, b), np.minimum(np.maximum(a, b), c))
    return out


def running_max(y: FloatArray, width: int) -> FloatArray:
    """Largest of the last `width` values, by doubling: log2(width) passes."""
    out = y.copy()
    done = 1
    while done < width and done < y.size:
        shift = min(done, width - done)
        out[shift:] = np.maximum(out[shift:], out[:-shift])
        done += shift
    return out


def highest_of_next(y: FloatArray, width: int) -> FloatArray:
    """Largest of each value and the `width - 1` after it (fewer at the end)."""
    return running_max(y[::-1], width)[::-1]


def moving_mean(y: FloatArray, half: int) -> FloatArray:
    """Mean of each value and the `half` on either side of it, fewer at the ends."""
    if half < 1 or y.size == 0:
        return y
    run = np.concatenate(([0.0], np.cumsum(y)))
    at = np.arange(y.size)
    low, high = np.maximum(at - half, 0), np.minimum(at + half + 1, y.size)
    return np.asarray((run[high] - run[low]) / (high - low))
