"""The calibration fit against the GUM's worked example and NIST's certified data sets."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.metrology.polynomial import fit_polynomial

# JCGM 100:2008, annex H.3: readings t [degC] and corrections b [degC] of a thermometer, t0 = 20 degC.
GUM_T = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
GUM_B = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)

# NIST StRD, Pontius: deflection y of a load cell against load x, in units of 150000.
PONTIUS_Y = (
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001, 1.30822,
    1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844, 0.11052, 0.22018, 0.32939, 0.43886,
    0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150, 1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965,
    1.84696, 1.95445, 2.06177, 2.16829,
)  # fmt: skip
PONTIUS_X = tuple(150000 * (i % 20 + 1) for i in range(40))

# NIST StRD, Norris: calibration of ozone monitors, (y, x).
NORRIS = (
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888, 884.6), (9.2, 10.1), (228.1, 226.5), (668.5, 666.3),
    (998.5, 996.3), (449.1, 448.6), (778.9, 777), (559.2, 558.2), (0.3, 0.4), (0.1, 0.6), (778.1, 775.5),
    (668.8, 666.9), (339.3, 338), (448.9, 447.5), (10.8, 11.6), (557.7, 556), (228.3, 228.1), (998, 995.8),
    (888.8, 887.6), (119.6, 120.2), (0.3, 0.3), (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888, 887.2),
    (998.5, 999), (778.9, 779), (10.2, 11.1), (117.6, 118.3), (228.9, 229.2), (668.4, 669.1), (449.2, 448.9),
    (0.2, 0.5),
)  # fmt: skip


def test_gum_h3_to_every_printed_digit() -> None:
    fit = fit_polynomial(np.array(GUM_T) - 20, GUM_B, 1)
    assert [round(float(c), d) for c, d in zip(fit.coefficients, (4, 5), strict=True)] == [-0.1712, 0.00218]
    assert [round(float(u), d) for u, d in zip(fit.u, (4, 5), strict=True)] == [0.0029, 0.00067]
    assert round(fit.correlation(0, 1), 3) == -0.930
    assert round(fit.residual_sd, 4) == 0.0035
    assert fit.dof == 9
    value, u = fit.predict(10)
    assert (round(value, 4), round(u, 4)) == (-0.1494, 0.0041)
    # 40-digit arithmetic on the same data
    assert fit.residual_ss == pytest.approx(0.000110096583109297, abs=1e-12)
    assert u == pytest.approx(0.00413859575285495, abs=1e-10)


def test_dropping_the_covariance_would_show() -> None:
    fit = fit_polynomial(np.array(GUM_T) - 20, GUM_B, 1)
    without = float(np.hypot(fit.u[0], 10 * fit.u[1]))
    assert without == pytest.approx(0.0072729, abs=1e-6)
    assert fit.predict(10)[1] < 0.6 * without


def test_nist_pontius() -> None:
    fit = fit_polynomial(PONTIUS_X, PONTIUS_Y, 2)
    certified = (0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14)
    certified_sd = (0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16)
    assert fit.coefficients == pytest.approx(certified, rel=1e-10)
    assert fit.u == pytest.approx(certified_sd, rel=1e-10)
    assert fit.residual_sd == pytest.approx(0.205177424076185e-03, rel=1e-10)


def test_nist_norris() -> None:
    y, x = zip(*NORRIS, strict=True)
    fit = fit_polynomial(x, y, 1)
    assert fit.coefficients == pytest.approx((-0.262323073774029, 1.00211681802045), rel=1e-10)
    assert fit.u == pytest.approx((0.232818234301152, 0.429796848199937e-03), rel=1e-10)
    assert fit.residual_sd == pytest.approx(0.884796396144373, rel=1e-10)


def test_too_few_points_are_refused() -> None:
    with pytest.raises(ValueError, match="too few"):
        fit_polynomial([1, 2], [1, 2], 1)
    with pytest.raises(ValueError, match="1 different points"):
        fit_polynomial([5, 5, 5, 5], [1, 2, 3, 4], 1)
