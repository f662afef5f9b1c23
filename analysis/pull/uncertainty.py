"""From each input's uncertainty to each result's: the law of propagation, input by input.

Owns how inputs are combined (JCGM 100:2008, 5.1). Must not know which inputs or results there are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.pull.inputs import Input
from analysis.pull.measures import Deviation
from analysis.results import Measured
from analysis.trace import FloatArray


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


def propagate(measure: Callable[[Deviation], dict[str, Any]], inputs: tuple[Input, ...]) -> Propagated:
    """Carry every input to every result that `measure` computes with its inputs off by a deviation.

    Each input is moved up and down by its standard uncertainty; half the difference of the results is its share
    (a central difference, exact for what is linear). Independent inputs add as squares. All moves are computed in
    one call, as arrays: first none, then every input up, then every input down.
    """
    n = len(inputs)
    values: dict[str, Measured] = {}
    parts: dict[str, dict[str, float]] = {}
    for name, found in measure(_all_moves(inputs)).items():
        moved = np.broadcast_to(np.asarray(found, dtype=np.float64), 2 * n + 1)
        shares = (moved[1 : n + 1] - moved[n + 1 :]) / 2.0
        values[name] = Measured(float(moved[0]), math.sqrt(float(shares @ shares)))
        parts[name] = {one.name: share for one, share in zip(inputs, shares.tolist(), strict=True) if share}
    return Propagated(values, parts, {one.name: one.dof for one in inputs})


def _all_moves(inputs: tuple[Input, ...]) -> Deviation:
    """One deviation that holds no move, every input up, and every input down."""
    n = len(inputs)
    moves: dict[str, FloatArray] = {}
    for k, one in enumerate(inputs):
        for field in Deviation.__slots__:
            step = getattr(one.off, field)
            if step:
                moved = moves.setdefault(field, np.zeros(2 * n + 1))
                moved[1 + k], moved[n + 1 + k] = step, -step
    return Deviation(**moves)
