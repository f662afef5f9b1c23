"""What a pull on a stiff specimen says of the rig's give: extension per force, from the straight upper part."""

from __future__ import annotations

import math

import numpy as np

from analysis.errors import InputError
from analysis.metrology.extension_calibration import StiffPull
from analysis.metrology.polynomial import fit_polynomial
from analysis.trace import Trace

#: The part of the pull that is used, as shares of its largest force: below it the slack is taken up.
USED_SHARES = (0.3, 0.95)
#: Readings in that part below which nothing is concluded.
ENOUGH_READINGS = 10
#: Scatter around the straight line [share of the extension in that part] from which a specimen slipped or bent.
LARGEST_SCATTER = 0.05


def stiff_pull(trace: Trace) -> StiffPull:
    """Extension per force of one pull [mm/N], with the specimen's length and area.

    A line by least squares of extension against force between USED_SHARES of the largest force, up to where that
    was reached; the rig's give is not taken out, since it is what is looked for. Raises InputError where length or
    area is not known, the force or position isn't calibrated, or the upper part is not straight.
    """
    force, extension, specimen = trace.force_n, trace.extension_mm, trace.specimen
    if force is None or extension is None:
        raise InputError(f"{trace.name} has no force in newtons or no position: calibrate the rig first")
    area_um2 = None if specimen is None else _area_um2(specimen.area_um2, specimen.diameter_um)
    if specimen is None or area_um2 is None:
        raise InputError(f"{trace.name} doesn't say how thick the specimen is: pull it with --diameter-um or so")
    top = int(np.argmax(force)) if len(force) else -1
    low, high = (share * float(np.max(force, initial=0.0)) for share in USED_SHARES)
    used = np.flatnonzero((force[: top + 1] >= low) & (force[: top + 1] <= high))
    if len(used) < ENOUGH_READINGS:
        raise InputError(
            f"{trace.name} has only {len(used)} readings on its straight part, and {ENOUGH_READINGS} are needed: "
            "pull slower"
        )
    fit = fit_polynomial(force[used], extension[used], 1)
    slope = float(fit.coefficients[1])
    if not slope > 0 or fit.residual_sd > LARGEST_SCATTER * slope * (high - low):
        raise InputError(
            f"{trace.name} is not straight in its upper part: look whether the specimen slipped or bent"
        )
    return StiffPull(specimen.gauge_length_mm, area_um2 * 1e-6, slope)


def _area_um2(area_um2: float | None, diameter_um: float | None) -> float | None:
    if area_um2 is not None or diameter_um is None:
        return area_um2
    return math.pi * diameter_um**2 / 4
