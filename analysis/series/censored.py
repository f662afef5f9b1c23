"""Series with strands that did not break: Kaplan-Meier, the log-rank test and the censored Weibull.

"Time" is elongation here: the share of strands still whole at a stretch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.errors import InputError
from analysis.series.observation import Observation

FloatArray = NDArray[np.float64]

#: Breaks below which no Weibull distribution is fitted.
ENOUGH_BREAKS = 3


@dataclass(frozen=True, slots=True)
class Survival:
    """Share still whole just above each break: strain [%], share and Greenwood's standard error, shape (k,)."""

    strain_pct: FloatArray
    share: FloatArray
    se: FloatArray

    @property
    def median_pct(self) -> float | None:
        """First strain at which at most half are whole; None where more than half never broke."""
        below = np.flatnonzero(self.share <= 0.5)
        return float(self.strain_pct[below[0]]) if len(below) else None

    def share_at(self, strain_pct: float) -> tuple[float, float]:
        """Share still whole at a strain, and its standard error."""
        i = int(np.searchsorted(self.strain_pct, strain_pct, side="right")) - 1
        return (1.0, 0.0) if i < 0 else (float(self.share[i]), float(self.se[i]))


@dataclass(frozen=True, slots=True)
class Weibull:
    """Two-parameter Weibull: shape, scale [%], log-likelihood."""

    shape: float
    scale: float
    log_likelihood: float


def _data(observations: Sequence[Observation]) -> Any:  # noqa: ANN401 - scipy.stats.CensoredData has no stub
    from scipy.stats import CensoredData

    broke = [o.value for o in observations if not o.censored]
    whole = [o.value for o in observations if o.censored]
    return CensoredData(uncensored=broke, right=whole)


def kaplan_meier(observations: Sequence[Observation]) -> Survival:
    """The product-limit estimate with Greenwood's standard error.

    Raises InputError where no strand broke: then all that is known is the least each of them reached.
    """
    values = np.array([o.value for o in observations])
    broke = np.array([not o.censored for o in observations])
    if not broke.any():
        raise InputError("no strand of this series broke, so nothing can be said of where they would")
    at, deaths = np.unique(values[broke], return_counts=True)
    risk = np.array([np.count_nonzero(values >= t) for t in at])
    share = np.cumprod(1 - deaths / risk)
    # after the last strand nobody is at risk and the share is exactly zero: no scatter is left to state
    left = np.maximum(risk - deaths, 1)
    se = share * np.sqrt(np.cumsum(deaths / (risk * left)))
    return Survival(at, share, se)


@dataclass(frozen=True, slots=True)
class LogRank:
    """The log-rank test of two groups: chi-squared with one degree of freedom, and p."""

    chi2: float
    p: float


def log_rank(a: Sequence[Observation], b: Sequence[Observation]) -> LogRank:
    """Compare two groups with censoring (Mantel's log-rank, hypergeometric variance)."""
    from scipy.stats import logrank

    found = logrank(_data(a), _data(b))
    return LogRank(float(found.statistic) ** 2, float(found.pvalue))


def weibull(observations: Sequence[Observation]) -> Weibull:
    """Maximum-likelihood Weibull with right-censoring.

    The scale has a closed form for a given shape, so one equation in the shape remains and is solved by
    bracketing: no starting guess. Raises InputError with fewer than ENOUGH_BREAKS breaks, or all alike.
    """
    from scipy.optimize import brentq

    x = np.array([o.value for o in observations])
    broke = np.array([not o.censored for o in observations])
    if int(broke.sum()) < ENOUGH_BREAKS or np.ptp(x[broke]) == 0:
        raise InputError(f"a Weibull distribution needs at least {ENOUGH_BREAKS} strands that broke, not all alike")
    scaled = x / x.max()
    log_x, mean_log = np.log(scaled), float(np.mean(np.log(scaled[broke])))

    def score(shape: float) -> float:
        weight = scaled**shape
        return float(weight @ log_x / weight.sum()) - 1 / shape - mean_log

    # the score rises from below zero to -mean_log > 0; the closer the breaks, the further out its root
    highest = 10.0
    while score(highest) < 0:
        highest *= 10.0
    shape = float(brentq(score, 1e-3, highest, xtol=1e-12, rtol=1e-12))
    deaths = int(broke.sum())
    scale = float(x.max()) * float((scaled**shape).sum() / deaths) ** (1 / shape)
    ratio = x / scale
    log_density = math.log(shape / scale) * deaths + (shape - 1) * float(np.log(ratio[broke]).sum())
    return Weibull(shape, scale, log_density - float((ratio**shape).sum()))
