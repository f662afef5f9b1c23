"""Uncertainty carried through a function of a few named inputs: the law of propagation (JCGM 100:2008, 5.1).

Owns the combination. Inputs are independent; what two results share is one input of both. Must not know what is
measured.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from analysis.results import Measured

#: How far each input is off, by name; what isn't named is not off.
Offs = Mapping[str, float]


def carry(measure: Callable[[Offs], dict[str, float]], u: Mapping[str, float]) -> dict[str, Measured]:
    """Values of `measure` with their standard uncertainties, by central differences over one uncertainty each."""
    nominal = measure({})
    squares = dict.fromkeys(nominal, 0.0)
    for name, size in u.items():
        if not size:
            continue
        up, down = measure({name: size}), measure({name: -size})
        for result in nominal:
            squares[result] += ((up[result] - down[result]) / 2.0) ** 2
    return {name: Measured(float(value), math.sqrt(squares[name])) for name, value in nominal.items()}
