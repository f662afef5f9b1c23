"""Newtons and millimetres for the live view and for limits, from counts and steps. Pure.

Results are never computed here: they come from the recording. This is what a person watches while a strand
is being pulled, and what turns a limit in newtons into one in counts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from recordings.format import ExtensionCalibration, ForceCalibration


@dataclass(frozen=True, slots=True)
class Scale:
    """Calibrations with the zero and the start of one pull; a quantity that can't be had is None."""

    force: ForceCalibration | None
    extension: ExtensionCalibration | None
    gauge_length_mm: float
    zero_counts: float = 0.0
    start_steps: int = 0

    def force_n(self, counts: float) -> float | None:
        """Force from the pull's zero [N]."""
        if self.force is None:
            return None
        x = counts - self.zero_counts
        return self.force.n_per_count * x + self.force.n_per_count2 * x * x

    def extension_mm(self, steps: float) -> float | None:
        """Motion of the stage since the start [mm], the rig's own give not taken out."""
        return None if self.extension is None else (steps - self.start_steps) * self.extension.mm_per_step

    def strain_pct(self, steps: float) -> float | None:
        """Motion of the stage over the gauge length [%]; slack is not taken out."""
        extension = self.extension_mm(steps)
        return None if extension is None else 100.0 * extension / self.gauge_length_mm


def counts_of_force(calibration: ForceCalibration, force_n: float) -> float:
    """How many counts from zero a force is [count], whichever way the cell is wired.

    Solves F = a x + b x² for the root next to zero. Raises ValueError where the calibration has no such force.
    """
    a, b = abs(calibration.n_per_count), calibration.n_per_count2
    inside = a * a + 4.0 * b * force_n
    if a == 0 or inside < 0:
        raise ValueError(f"no reading means {force_n:g} N")
    return 2.0 * force_n / (a + math.sqrt(inside))
