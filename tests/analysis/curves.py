"""Tables of closed-form curves as traces, for the tests of the analysis."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.trace import Trace
from recordings.format import Specimen

Array = NDArray[np.float64]

#: A round strand of 70 um on a 30 mm gauge length: the cross-section is 3848.451 um2.
GAUGE_MM = 30.0
DIAMETER_UM = 70.0
AREA_UM2 = float(np.pi) * DIAMETER_UM**2 / 4.0


def trilinear(strain: Array) -> Array:
    """Stress [MPa] of three straight lines through (0, 0), (2 %, 80), (30 %, 95), (45 %, 200)."""
    return np.interp(strain, [0.0, 0.02, 0.30, 0.45], [0.0, 80.0, 95.0, 200.0])


def smooth(strain: Array) -> Array:
    """Stress [MPa] of 80 (1 - exp(-e / 0.02)) + 150 e."""
    return np.asarray(80.0 * (1.0 - np.exp(-strain / 0.02)) + 150.0 * strain)


def table(
    strain: Array,
    stress_mpa: Array,
    *,
    gauge_mm: float = GAUGE_MM,
    diameter_um: float | None = DIAMETER_UM,
    tail: int = 12,
    **more: Any,
) -> Trace:
    """A table of extension and force of a strand with this curve; after the break the force is zero."""
    area = float(np.pi) * (diameter_um or DIAMETER_UM) ** 2 / 4.0
    step = float(strain[-1] - strain[-2])
    beyond = strain[-1] + step * np.arange(1, tail + 1)
    return Trace(
        name="table",
        time_s=None,
        force_n=np.concatenate((stress_mpa * area * 1e-6, np.zeros(tail))),
        extension_mm=np.concatenate((strain, beyond)) * gauge_mm,
        specimen=Specimen(gauge_mm, diameter_um=diameter_um),
        **more,
    )


def value(quantity: Any) -> float:
    """The value of a measured quantity; fails with the reason where it is none."""
    assert hasattr(quantity, "value"), quantity
    return float(quantity.value)
