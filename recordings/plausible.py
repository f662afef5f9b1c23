"""Which specimen values can be meant: what a person types is checked against these before anything is computed."""

from __future__ import annotations

import math

#: Distances between clamps that some rig has [mm]: below, the clamps touch; above, it is another unit.
GAUGE_LENGTH_RANGE_MM = (1.0, 1000.0)
#: Diameters from the finest fibre to a thick yarn [µm].
DIAMETER_RANGE_UM = (1.0, 5000.0)


def specimen_problem(gauge_length_mm: float | None, diameter_um: float | None) -> str:
    """Say what is wrong with a gauge length or a diameter, and what to give instead; nothing if both can be."""
    return _outside("gauge length", gauge_length_mm, GAUGE_LENGTH_RANGE_MM, "mm") or _outside(
        "diameter", diameter_um, DIAMETER_RANGE_UM, "µm"
    )


def _outside(name: str, value: float | None, limits: tuple[float, float], unit: str) -> str:
    low, high = limits
    if value is None or (math.isfinite(value) and low <= value <= high):
        return ""
    return f"The {name} can't be {value:g} {unit}: give it in {unit}, between {low:g} and {high:g}."
