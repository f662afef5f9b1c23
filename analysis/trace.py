"""A pull in physical units, before anything is concluded from it: what every later step starts from.

A recording and another program's table both become a `Trace`; from there on there is one path.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recordings.format import ExtensionCalibration, ForceCalibration, Mark, Method, Specimen

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Trace:
    """Samples of one pull, in the order they were taken; arrays of equal length n.

    `force_n` is from the pull's own zero where one was taken, `extension_mm` is the motion of the stage from
    the first sample, without any correction. Where a quantity can't be had, the array is None.
    """

    name: str
    time_s: FloatArray | None
    force_n: FloatArray | None
    extension_mm: FloatArray | None
    specimen: Specimen | None
    method: Method | None = None
    #: Raw counts, for the checks that need them (flat tops, frozen readings); None for tables.
    counts: IntArray | None = None
    flags: IntArray | None = None
    #: Ends of the amplifier's range [count], where known.
    full_scale_counts: int | None = None
    force_calibration: ForceCalibration | None = None
    extension_calibration: ExtensionCalibration | None = None
    #: Smallest step of force [N] and of extension [mm] that the data can show.
    force_resolution_n: float | None = None
    extension_resolution_mm: float | None = None
    #: Standard uncertainty of the force zero [N]; None where no zero was taken.
    u_zero_n: float | None = None
    marks: tuple[Mark, ...] = ()
    end_reason: str = ""
    complete: bool = True
    simulated: bool = False
    #: ISO date of the pull, to judge whether a calibration was overdue.
    date: str = ""
    #: Rows of a table that were left out and why, told to the person as flags.
    notes: tuple[tuple[str, str], ...] = ()
