"""Least-squares polynomials with full covariance: the fit behind every calibration."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import InputError

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PolynomialFit:
    """y = sum c_k x**k, k from 0. Arrays: coefficients (p,), covariance (p, p), residuals (n,) [unit of y]."""

    coefficients: FloatArray
    covariance: FloatArray
    residuals: FloatArray
    residual_sd: float
    dof: int

    @property
    def u(self) -> FloatArray:
        """Standard uncertainty of each coefficient, shape (p,)."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def residual_ss(self) -> float:
        """Sum of squared residuals."""
        return float(self.residuals @ self.residuals)

    def correlation(self, i: int, j: int) -> float:
        """Correlation of two coefficients."""
        return float(self.covariance[i, j] / math.sqrt(self.covariance[i, i] * self.covariance[j, j]))

    def predict(self, x: float) -> tuple[float, float]:
        """Value at x and its standard uncertainty, covariance carried (JCGM 100 H.3.4)."""
        powers = x ** np.arange(len(self.coefficients), dtype=float)
        return float(powers @ self.coefficients), float(math.sqrt(powers @ self.covariance @ powers))


def fit_polynomial(x: ArrayLike, y: ArrayLike, degree: int) -> PolynomialFit:
    """Fit a polynomial by QR on x scaled to at most 1.

    Scaling keeps twelve digits where raw powers lose six (NIST StRD Pontius). Uncertainties are from the
    scatter of the residuals (type A, JCGM 100 H.3). Raises InputError with fewer distinct x than degree + 2,
    since nothing would then be left to judge the fit by.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    distinct = len(np.unique(xs))
    if distinct < degree + 1 or len(xs) < degree + 2:
        raise InputError(f"{distinct} different points are too few for a polynomial of degree {degree}")
    scale = float(np.max(np.abs(xs))) or 1.0
    design = np.vander(xs / scale, degree + 1, increasing=True)
    q, r = np.linalg.qr(design)
    solved = np.linalg.solve(r, q.T @ ys)
    residuals = ys - design @ solved
    dof = len(xs) - degree - 1
    sd = math.sqrt(float(residuals @ residuals) / dof)
    r_inverse = np.linalg.inv(r)
    back = scale ** -np.arange(degree + 1, dtype=float)
    covariance = sd**2 * (r_inverse @ r_inverse.T) * np.outer(back, back)
    return PolynomialFit(solved * back, covariance, residuals, sd, dof)
