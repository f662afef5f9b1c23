"""From each input's uncertainty to each result's: the law of propagation, input by input.

Owns how inputs are combined (JCGM 100:2008, 5.1). Must not know which inputs or results there are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analysis.pull.inputs import Input
from analysis.pull.measures import NO_DEVIATION, Deviation
from analysis.results import Measured


@dataclass(frozen=True, slots=True)
class Propagated:
    """Results with uncertainty, and each input's signed share in each: `parts[result][input]`, in its unit."""

    values: dict[str, Measured]
    parts: dict[str, dict[str, float]]
    dof_of_inputs: dict[str, float]

    def covariance(self, first: str, second: str) -> float:
        """Covariance of two results: the inputs they share (JCGM 100:2008, F.1.2.3)."""
        shares = self.parts[second]
        return sum(share * shares.get(part, 0.0) for part, share in self.parts[first].items())

    def dof(self, name: str) -> float:
        """Effective degrees of freedom of a result (Welch and Satterthwaite, JCGM 100:2008, G.2b)."""
        rest = sum(share**4 / self.dof_of_inputs[part] for part, share in self.parts[name].items())
        return self.values[name].u ** 4 / rest if rest > 0.0 else math.inf


def propagate(measure: Callable[[Deviation], dict[str, float]], inputs: tuple[Input, ...]) -> Propagated:
    """Carry every input to every result that `measure` computes with its inputs off by a deviation.

    Each input is moved up and down by its standard uncertainty; half the difference of the results is its share
    (a central difference, exact for what is linear). Independent inputs add as squares.
    """
    nominal = measure(NO_DEVIATION)
    parts: dict[str, dict[str, float]] = {name: {} for name in nominal}
    for one in inputs:
        up = measure(one.off)
        down = measure(_negative(one.off))
        for name in nominal:
            share = (up[name] - down[name]) / 2.0
            if share:
                parts[name][one.name] = share
    u = {name: float(np.sqrt(sum(s * s for s in shares.values()))) for name, shares in parts.items()}
    values = {name: Measured(float(v), u[name]) for name, v in nominal.items()}
    return Propagated(values, parts, {one.name: one.dof for one in inputs})


def _negative(off: Deviation) -> Deviation:
    return Deviation(*(-getattr(off, name) for name in Deviation.__slots__))
