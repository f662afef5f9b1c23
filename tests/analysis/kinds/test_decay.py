"""The relaxation of a held strand: known laws recovered within their uncertainty, and when nothing can be said."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.kinds.decay import EXPONENTIAL, STRETCHED, Decay, fit_decay
from analysis.results import Measured, NotMeasured
from analysis.trace import FloatArray

TIME_S = np.arange(0.3, 60.0, 1.0 / 80.0)


def force(
    tau_s: float, b: float, left_n: float = 0.35, height_n: float = 0.06, t: FloatArray = TIME_S
) -> FloatArray:
    return np.asarray(left_n + height_n * np.exp(-((t / tau_s) ** b)))


def noisy(y: FloatArray, noise_n: float, seed: int) -> FloatArray:
    return y + np.random.default_rng(seed).normal(0.0, noise_n, y.size)


@pytest.mark.parametrize(
    ("tau_s", "b", "law"),
    [(25.0, 1.0, EXPONENTIAL), (5.0, 1.0, EXPONENTIAL), (20.0, 0.5, STRETCHED), (3.0, 0.35, STRETCHED)],
)
def test_exact_readings_give_the_law_back(tau_s: float, b: float, law: str) -> None:
    found = fit_decay(TIME_S, noisy(force(tau_s, b), 1e-9, 1))
    assert isinstance(found, Decay)
    assert found.law == law
    assert found.time_constant_s.value == pytest.approx(tau_s, rel=2e-3)
    assert found.half_time_s.value == pytest.approx(tau_s * math.log(2.0) ** (1.0 / b), rel=2e-3)
    assert found.left_n.value == pytest.approx(0.35, rel=1e-4)
    if b < 1.0:
        assert found.exponent is not None
        assert found.exponent.value == pytest.approx(b, rel=1e-3)
    assert found.at(TIME_S) == pytest.approx(force(tau_s, b), abs=1e-5)


@pytest.mark.parametrize("noise_n", [2e-5, 1e-4, 5e-4])
@pytest.mark.parametrize(("tau_s", "b"), [(25.0, 1.0), (20.0, 0.5), (60.0, 0.6)])
def test_half_time_within_its_uncertainty(tau_s: float, b: float, noise_n: float) -> None:
    """Over 40 seeds the truth is off by one standard uncertainty on average, and by more than two rarely."""
    half = tau_s * math.log(2.0) ** (1.0 / b)
    off = []
    for seed in range(40):
        found = fit_decay(TIME_S, noisy(force(tau_s, b), noise_n, seed))
        assert isinstance(found, Decay)
        off.append((found.half_time_s.value - half) / found.half_time_s.u)
    assert 0.6 < float(np.std(off)) < 1.4
    assert float(np.mean(np.abs(off) < 2.0)) >= 0.85


def test_neighbours_that_are_alike_make_it_less_sure() -> None:
    white = np.random.default_rng(5).normal(0.0, 1e-4, TIME_S.size + 400)
    smooth = np.convolve(white, np.ones(400), "valid")[: TIME_S.size] / 20.0
    plain = fit_decay(TIME_S, force(25.0, 1.0) + white[: TIME_S.size])
    alike = fit_decay(TIME_S, force(25.0, 1.0) + smooth)
    assert isinstance(plain, Decay)
    assert isinstance(alike, Decay)
    assert alike.half_time_s.u > 2.0 * plain.half_time_s.u


def test_each_input_adds_to_the_uncertainty() -> None:
    y = noisy(force(20.0, 0.5), 2e-5, 3)

    def u(**more: float) -> float:
        found = fit_decay(TIME_S, y, **more)
        assert isinstance(found, Decay)
        return found.half_time_s.u

    plain = u()
    assert u(u_drift_n=1e-3) > 2.0 * plain
    assert u(u_start_s=0.1) > plain
    assert u(u_share=0.05) == pytest.approx(math.hypot(plain, 0.05 * 9.609), rel=0.02)


def test_the_drift_of_the_zero_is_covered_by_its_uncertainty() -> None:
    drift = 5e-4
    for sign in (-1.0, 1.0):
        y = noisy(force(25.0, 1.0) + sign * drift * TIME_S / 60.0, 2e-5, 4)
        found = fit_decay(TIME_S, y, u_drift_n=drift)
        assert isinstance(found, Decay)
        assert abs(found.half_time_s.value - 25.0 * math.log(2.0)) < 2.0 * found.half_time_s.u


@pytest.mark.parametrize(
    ("readings", "reason"),
    [
        (noisy(np.full(TIME_S.size, 0.35), 1e-4, 1), "did not relax clearly"),
        (np.full(TIME_S.size, 0.35), "did not relax clearly"),
        (noisy(0.35 - force(25.0, 1.0, 0.0), 1e-5, 1), "did not relax clearly"),
    ],
)
def test_a_force_that_does_not_relax(readings: FloatArray, reason: str) -> None:
    found = fit_decay(TIME_S, readings)
    assert isinstance(found, NotMeasured)
    assert reason in found.reason


@pytest.mark.parametrize("n", [0, 1, 5, 11])
def test_too_few_readings(n: int) -> None:
    found = fit_decay(TIME_S[:n], force(25.0, 1.0)[:n])
    assert isinstance(found, NotMeasured)
    assert f"only {n} readings" in found.reason


def test_two_hours_of_readings_are_as_quick_to_fit() -> None:
    """They are taken together into as many means as a minute's."""
    long_s = np.arange(0.3, 7200.0, 1.0 / 20.0)
    found = fit_decay(long_s, noisy(force(900.0, 0.5, t=long_s), 5e-5, 2))
    assert isinstance(found, Decay)
    assert isinstance(found.half_time_s, Measured)
    assert found.half_time_s.value == pytest.approx(900.0 * math.log(2.0) ** 2, rel=0.01)
