"""Nonlinear fits against certified values: NIST statistical reference datasets (StRD), nonlinear regression.

Six digits of the parameters and four of their standard deviations, from both of the published starts.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from analysis.kinds.least_squares import fit_model
from analysis.trace import FloatArray

MISRA1A = (
    [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0],
    [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78],
)
BOXBOD = ([1.0, 2.0, 3.0, 5.0, 7.0, 10.0], [109.0, 149.0, 149.0, 191.0, 213.0, 224.0])
DANWOOD = ([1.309, 1.471, 1.490, 1.565, 1.611, 1.680], [2.138, 3.421, 3.597, 4.340, 4.882, 5.660])
RAT43 = (
    [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0],
    [
        16.08,
        33.83,
        65.8,
        97.2,
        191.55,
        326.2,
        386.87,
        520.53,
        590.03,
        651.92,
        724.93,
        699.56,
        689.96,
        637.56,
        717.41,
    ],
)


def rise(b: FloatArray, x: FloatArray) -> FloatArray:
    """b1 (1 - exp(-b2 x)): a plain exponential from b1 - b1 to b1, as the force of a hold with the sign turned."""
    return np.asarray(b[0] * (1.0 - np.exp(-b[1] * x)))


def power(b: FloatArray, x: FloatArray) -> FloatArray:
    return np.asarray(b[0] * x ** b[1])


def sigmoid(b: FloatArray, x: FloatArray) -> FloatArray:
    return np.asarray(b[0] / (1.0 + np.exp(b[1] - b[2] * x)) ** (1.0 / b[3]))


Case = tuple[Callable[[FloatArray, FloatArray], FloatArray], tuple[list[float], list[float]], list[list[float]]]

CASES: dict[str, tuple[Case, list[float], list[float], float, float]] = {
    "Misra1a": (
        (rise, MISRA1A, [[500, 0.0001], [250, 0.0005]]),
        [2.3894212918e02, 5.5015643181e-04],
        [2.7070075241e00, 7.2668688436e-06],
        1.2455138894e-01,
        1.0187876330e-01,
    ),
    "BoxBOD": (
        (rise, BOXBOD, [[1, 1], [100, 0.75]]),
        [2.1380940889e02, 5.4723748542e-01],
        [1.2354515176e01, 1.0455993237e-01],
        1.1680088766e03,
        1.7088072423e01,
    ),
    "DanWood": (
        (power, DANWOOD, [[1, 5], [0.7, 4]]),
        [7.6886226176e-01, 3.8604055871e00],
        [1.8281973860e-02, 5.1726610913e-02],
        4.3173084083e-03,
        3.2853114039e-02,
    ),
    "Rat43": (
        (sigmoid, RAT43, [[100, 10, 1, 1], [700, 5, 0.75, 1.3]]),
        [6.9964151270e02, 5.2771253025e00, 7.5962938329e-01, 1.2792483859e00],
        [1.6302297817e01, 2.0828735829e00, 1.9566123451e-01, 6.8761936385e-01],
        8.7864049080e03,
        2.8262414662e01,
    ),
}


@pytest.mark.parametrize("start", [0, 1])
@pytest.mark.parametrize("name", CASES)
def test_certified_values(name: str, start: int) -> None:
    (model, (x, y), starts), values, deviations, rss, sd = CASES[name]
    fit = fit_model(model, np.array(starts[start], dtype=float), np.array(x), np.array(y))
    assert fit.values == pytest.approx(values, rel=5e-7)
    assert fit.u == pytest.approx(deviations, rel=1e-4)
    assert fit.rss == pytest.approx(rss, rel=1e-8)
    assert fit.sd == pytest.approx(sd, rel=1e-8)


def test_weights_are_worth_repeated_points() -> None:
    x, y = np.array(BOXBOD[0]), np.array(BOXBOD[1])
    twice = fit_model(rise, np.array([100.0, 0.75]), np.append(x, x[:1]), np.append(y, y[:1]))
    weights = np.ones(x.size)
    weights[0] = np.sqrt(2.0)
    weighted = fit_model(rise, np.array([100.0, 0.75]), x, y, weights=weights)
    assert weighted.values == pytest.approx(twice.values, rel=1e-7)


def test_too_few_points() -> None:
    with pytest.raises(ValueError, match="2 points can't fix 2 parameters"):
        fit_model(rise, np.array([1.0, 1.0]), np.array([1.0, 2.0]), np.array([1.0, 2.0]))


def test_points_that_say_nothing_of_a_parameter() -> None:
    with pytest.raises(ValueError, match="open"):
        fit_model(rise, np.array([1.0, 1.0]), np.zeros(5), np.ones(5))
