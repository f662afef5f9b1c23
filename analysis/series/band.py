"""Several curves as one: the median and the spread of a group, strain by strain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.errors import InputError
from analysis.results import Curve

FloatArray = NDArray[np.float64]

#: Strain step of the common grid [%].
GRID_STEP_PCT = 0.1


@dataclass(frozen=True, slots=True)
class Band:
    """Median and quartiles over the strands still whole; arrays of equal length k.

    `unit` is "MPa" where every strand has a stress, else "N". `whole` is how many strands are left at each
    strain; the band ends where fewer than half are.
    """

    strain_pct: FloatArray
    low: FloatArray
    median: FloatArray
    high: FloatArray
    whole: NDArray[np.int64]
    unit: str


def all_in_stress(curves: Sequence[Curve]) -> bool:
    """Whether every curve has a stress, so that strands of different thickness may share an axis."""
    return all(c.stress_mpa is not None for c in curves)


def band(curves: Sequence[Curve], *, in_stress: bool) -> Band:
    """Resample the curves on a common strain grid and take quartiles at each strain, of stress or of force.

    Raises InputError where there is no curve.
    """
    usable = [c for c in curves if len(c.strain_pct) > 1]
    if not usable:
        raise InputError("none of these recordings has a curve to draw")
    ends = np.array([float(np.max(c.strain_pct)) for c in usable])
    grid = np.arange(0.0, float(np.median(ends)) + GRID_STEP_PCT / 2, GRID_STEP_PCT)
    rows = np.full((len(usable), len(grid)), np.nan)
    for row, curve, end in zip(rows, usable, ends, strict=True):
        y = curve.stress_mpa if in_stress and curve.stress_mpa is not None else curve.force_n
        # interp needs rising strain: the running maximum leaves the noise of a slow pull out
        x = np.maximum.accumulate(curve.strain_pct)
        row[:] = np.where(grid <= end, np.interp(grid, x, y), np.nan)
    whole = np.sum(~np.isnan(rows), axis=0)
    keep = whole * 2 >= len(usable)
    low, median, high = np.nanpercentile(rows[:, keep], (25, 50, 75), axis=0)
    return Band(grid[keep], low, median, high, whole[keep].astype(np.int64), "MPa" if in_stress else "N")
