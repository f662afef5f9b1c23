"""Monte Carlo on a result (JCGM 101:2008): every input drawn from its distribution, the result computed each time.

Owns the draws. Uses the very formulas of the results, so what it checks is the propagation: whether the law that
takes every formula as straight, and every sum as normal, was good enough.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from analysis.details import detail_formulas
from analysis.pull.measures import Deviation, evaluate
from analysis.results import Measured
from analysis.study import Study
from analysis.trace import FloatArray

#: Trials that JCGM 101:2008 (7.2.1) calls enough for two digits of a 95 % interval.
TRIALS = 200_000


@dataclass(frozen=True, slots=True)
class Simulated:
    """What the trials gave: mean, standard deviation, and the interval between their 2.5 and 97.5 % points."""

    name: str
    mean: float
    u: float
    low: float
    high: float
    trials: int

    def agrees_with(self, stated: Measured, k: float = 1.959963984540054) -> bool:
        """Whether both ends of the stated 95 % interval agree to its last stated digit (JCGM 101:2008, 8.1).

        The tolerance is half a unit in the second digit of the standard uncertainty.
        """
        if stated.u == 0.0:
            return self.u == 0.0
        tolerance = 0.5 * 10.0 ** (np.floor(np.log10(stated.u)) - 1.0)
        ends = (stated.value - k * stated.u - self.low, stated.value + k * stated.u - self.high)
        return bool(max(abs(end) for end in ends) <= tolerance)


def simulate(study: Study, *, trials: int = TRIALS, seed: int = 1) -> dict[str, Simulated]:
    """Run the trials on every result of a pull and every further measure."""
    drawn = _drawn(study, trials, np.random.default_rng(seed))
    found = detail_formulas(study)(drawn) | evaluate(study.shape, study.specimen, drawn)
    return {name: _summary(name, np.broadcast_to(np.asarray(values), trials)) for name, values in found.items()}


def _drawn(study: Study, trials: int, rng: np.random.Generator) -> Deviation:
    """One deviation that holds all trials: the inputs' own deviations, each times its draws, added up."""
    total: dict[str, FloatArray] = {}
    for one in study.inputs:
        z = rng.normal(size=trials) if one.shape == "normal" else rng.uniform(-np.sqrt(3.0), np.sqrt(3.0), trials)
        for field in fields(Deviation):
            step = getattr(one.off, field.name)
            if step:
                total[field.name] = total.get(field.name, np.zeros(trials)) + step * z
    return Deviation(**total)


def _summary(name: str, values: FloatArray) -> Simulated:
    low, high = np.quantile(values, (0.025, 0.975))
    return Simulated(name, float(values.mean()), float(values.std(ddof=1)), float(low), float(high), values.size)
