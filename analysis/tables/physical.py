"""Columns of a table as force, extension and time: converted, from the first sample, and with the right sign.

Owns the signs: force is positive in tension, extension in the stretching direction. What is turned round is noted.
"""

from __future__ import annotations

import numpy as np

from analysis.tables.columns import Column, quoted
from analysis.tables.files import TableError
from analysis.tables.rows import Samples
from analysis.tables.words import EXTENSION, FORCE, TIME
from analysis.trace import FloatArray

Notes = tuple[tuple[str, str], ...]

#: Largest number that can be a force [N], an extension [mm] or a time [s]: the seconds since 1970 are allowed.
LARGEST = 1e10
#: The level before the pull is the median of this share of the samples, at most so many.
START_SHARE, START_SAMPLES = 0.1, 5
#: A force is turned round where it goes so many times further down than up.
SIGN_RATIO = 2.0


def force_n(samples: Samples, column: Column) -> tuple[FloatArray, Notes]:
    """Force [N], positive in tension, from the table's own zero.

    It is turned round where both its values and its motion from the level at the start are mainly negative: a cell
    whose zero is off, and a force that relaxes, are left as they are. Raises TableError.
    """
    force = _converted(samples, column, FORCE)
    calm = _without_glitches(force)
    low, high = float(calm.min()), float(calm.max())
    start = float(np.median(force[: max(1, min(START_SAMPLES, int(START_SHARE * len(force))))]))
    if -low > SIGN_RATIO * max(high, 0.0) and start - low > SIGN_RATIO * (high - start):
        return -force, (("force_sign", "The table counts tension as negative: the force was turned round."),)
    return force, ()


def extension_mm(samples: Samples, column: Column, gauge_length_mm: float | None) -> tuple[FloatArray, Notes]:
    """Motion [mm] from the first sample, positive where it went furthest; a strain times the gauge length.

    Raises TableError, also for a strain without a gauge length.
    """
    position = _converted(samples, column, EXTENSION)
    if column.unit is not None and column.unit.dimension == "ratio":
        if gauge_length_mm is None:
            raise TableError(f"{quoted(column)} is a strain: give the gauge length to make an extension of it.")
        position = position * gauge_length_mm
    extension = position - position[0]
    if extension.max() >= -extension.min():
        return extension, ()
    return -extension, (("extension_sign", "The position falls as the strand is stretched: it was turned round."),)


def time_s(samples: Samples, column: Column) -> FloatArray:
    """Time [s] from the first sample. Raises TableError where it goes back."""
    time = _converted(samples, column, TIME)
    back = np.flatnonzero(np.diff(time) < 0)
    if len(back):
        raise TableError(f"The time goes back after sample {back[0] + 1}: keep only one pull in a table.")
    return np.asarray(time - time[0], dtype=np.float64)


def resolution(values: FloatArray) -> float | None:
    """Smallest step between two different values; None where all are the same."""
    steps = np.diff(np.unique(values))
    return float(steps.min()) if len(steps) else None


def _without_glitches(values: FloatArray) -> FloatArray:
    """The median of every three neighbours: a single reading that is far off decides about no sign."""
    if len(values) < 3:
        return values
    return np.asarray(np.median([values[:-2], values[1:-1], values[2:]], axis=0), dtype=np.float64)


def _converted(samples: Samples, column: Column, quantity: str) -> FloatArray:
    """A column in N, mm, s or 1. Raises TableError for a number that can't be one."""
    factor = column.unit.factor if column.unit else 1.0
    values = samples.values[quantity]
    largest = float(np.max(np.abs(values)))
    if largest * factor > LARGEST:
        raise TableError(f"{largest:g} in {quoted(column)} can't be a {quantity}: check the column and its unit.")
    return np.asarray(values * factor, dtype=np.float64)
