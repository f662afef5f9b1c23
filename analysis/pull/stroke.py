"""The loading part of a pull: up to where the stage turned back.

Owns the direction of the stage and its return. Must not know forces.
"""

from __future__ import annotations

import numpy as np

from analysis.results import Flag
from analysis.trace import FloatArray

#: The stage has turned back when it is this share of its whole way behind its furthest point.
RETURN_SHARE = 0.02
#: A stage that moves less than this share of the way between two samples stands still (holds).
STILL_SHARE = 1e-3


def pulled_positive(x: FloatArray) -> tuple[FloatArray, tuple[Flag, ...]]:
    """Extension from its first value, turned so that pulling counts upwards; a flag where it was turned."""
    moved = x - x[0]
    if moved[int(np.argmax(np.abs(moved)))] >= 0.0:
        return moved, ()
    text = "the position falls while the strand is pulled: it was read the other way round"
    return -moved, (Flag("direction", text),)


def loading_end(x: FloatArray) -> int:
    """Index just after the last sample of the loading stroke."""
    furthest = np.maximum.accumulate(x)
    behind = furthest - x
    span = float(furthest[-1] - x[0])
    turned = np.flatnonzero(behind > RETURN_SHARE * span) if span > 0.0 else np.empty(0, dtype=np.int64)
    if turned.size == 0:
        return int(x.size)
    return int(np.argmax(x[: turned[0]])) + 1
