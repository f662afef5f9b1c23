"""Nonlinear least squares with uncertainties, for laws of a few parameters. A thin door to scipy.

Owns the settings and the covariance. Must not know what is fitted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analysis.trace import FloatArray

#: Relative changes below which the search ends: as far as double precision goes.
TOLERANCE = 1e-14
#: Tries of the model that a search may take; a good start needs a few dozen.
MOST_TRIES = 5000

Model = Callable[[FloatArray, FloatArray], FloatArray]


@dataclass(frozen=True, slots=True)
class Fit:
    """Parameters with their covariance (scaled by the residuals), and the weighted residuals, their sum of squares
    and their standard deviation.
    """

    values: FloatArray
    cov: FloatArray
    residuals: FloatArray
    rss: float
    sd: float

    @property
    def u(self) -> FloatArray:
        """Standard uncertainties of the parameters."""
        return np.asarray(np.sqrt(np.diag(self.cov)))


def fit_model(
    model: Model,
    start: FloatArray,
    x: FloatArray,
    y: FloatArray,
    *,
    weights: FloatArray | None = None,
    bounds: tuple[FloatArray, FloatArray] | None = None,
) -> Fit:
    """Fit `model(parameters, x)` to y.

    Parameters
    ----------
    start
        A guess of the parameters, shape (p,).
    x, y
        Points, shape (n,), n > p.
    weights
        What the residuals are multiplied by: one over the standard deviation of each y; 1 where not given.

    Raises
    ------
    ValueError
        Where there are too few points, the search does not end, or the points leave a parameter open.

    Notes
    -----
    Trust-region least squares with parameters scaled by the Jacobian. Covariance: s^2 (J^T J)^-1 with s^2 the
    residual sum of squares over n - p, as in the NIST statistical reference datasets.
    """
    from scipy.optimize import least_squares

    free = y.size - start.size
    if free < 1:
        raise ValueError(f"{y.size} points can't fix {start.size} parameters")
    w = np.ones(y.size) if weights is None else weights

    def off(parameters: FloatArray) -> FloatArray:
        return np.asarray(w * (model(parameters, x) - y))

    limits = (-np.inf, np.inf) if bounds is None else bounds
    with np.errstate(over="ignore", invalid="ignore"):
        found = least_squares(
            off,
            start,
            bounds=limits,
            jac="3-point",
            x_scale="jac",
            xtol=TOLERANCE,
            ftol=TOLERANCE,
            gtol=TOLERANCE,
            max_nfev=MOST_TRIES,
        )
    if found.status == 0:
        raise ValueError("the fit does not come to an end")
    rss = float(np.sum(found.fun**2))
    return Fit(
        values=np.asarray(found.x),
        cov=rss / free * _inverse(np.asarray(found.jac)),
        residuals=np.asarray(found.fun),
        rss=rss,
        sd=float(np.sqrt(rss / free)),
    )


def _inverse(jac: FloatArray) -> FloatArray:
    """(J^T J)^-1, the columns scaled first so that parameters of any size are alike."""
    size = np.linalg.norm(jac, axis=0)
    if not np.all(size > 0.0):
        raise ValueError("the points leave a parameter of the law open")
    scaled = jac / size
    try:
        return np.asarray(np.linalg.inv(scaled.T @ scaled) / np.outer(size, size))
    except np.linalg.LinAlgError as problem:
        raise ValueError("the points leave a parameter of the law open") from problem
