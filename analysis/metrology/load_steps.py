"""The readings of a force calibration: one step a load, and the table they make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.errors import InputError
from analysis.metrology.gravity import Gravity
from analysis.metrology.weights import Weight, force_n

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LoadStep:
    """Readings at one load: mass hung on [g] (0 for none), mean and sd of `n` readings [count].

    `rising` says whether the load before was smaller. A negative mass is a load in the other direction.
    """

    mass_g: float
    counts: float
    sd_counts: float
    n: int
    rising: bool = True


@dataclass(frozen=True, slots=True)
class LoadTable:
    """Steps as arrays of equal length n: mass [g], force [N], counts from the zero [count], rising or not."""

    mass_g: FloatArray
    force_n: FloatArray
    counts: FloatArray
    rising: NDArray[np.bool_]
    u_rel_weights: float
    #: Noise of a step's mean [count], from the spread of its readings.
    noise_counts: float

    @property
    def distinct(self) -> int:
        """Different loads, zero not counted."""
        return len(np.unique(self.mass_g[self.mass_g != 0]))

    @property
    def largest_force_n(self) -> float:
        """The largest force of the run [N]."""
        return float(np.max(np.abs(self.force_n)))


def load_table(steps: Sequence[LoadStep], weights: dict[float, Weight], gravity: Gravity) -> LoadTable:
    """Make the table: counts from the mean of the first zero readings, force from the weights.

    Raises InputError where no zero reading comes first, since nothing then says where the scale begins.
    """
    if not steps or steps[0].mass_g != 0:
        raise InputError("a calibration begins with a reading without any weight; take the zero first")
    zero = steps[0].counts
    mass = np.array([s.mass_g for s in steps], dtype=float)
    hung = {m: weights.get(abs(m), Weight(abs(m), 0.0)) for m in mass if m}
    force = np.array([np.sign(m) * force_n(hung[m].mass_g, gravity.value_m_s2) if m else 0.0 for m in mass])
    noise = [s.sd_counts / np.sqrt(max(s.n, 1)) for s in steps]
    relative = [w.u_mass_g / w.mass_g for w in hung.values()]
    return LoadTable(
        mass_g=mass,
        force_n=force,
        counts=np.array([s.counts for s in steps], dtype=float) - zero,
        rising=np.array([s.rising for s in steps], dtype=bool),
        # Weights of one set may all be off the same way, so the worst counts for the whole scale; the
        # smallest weights carry the largest relative error but little of the slope: the median speaks.
        u_rel_weights=float(np.median(relative)) if relative else 0.0,
        noise_counts=float(np.sqrt(np.mean(np.square(noise)))),
    )
