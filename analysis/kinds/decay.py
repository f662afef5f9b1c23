"""How a force relaxes while nothing moves: the law fitted to it, its half-time and what is left in the end.

Owns the two laws, which of them is reported, and their uncertainties. Must not know strands or recordings.

Laws
----
    exponential             F(t) = F_left + A exp(-t/tau)
    stretched exponential   F(t) = F_left + A exp(-(t/tau)**b), 0 < b < 1 (Kohlrausch; Williams and Watts,
                            Trans. Faraday Soc. 66 (1970) 80, from memory)

The stretched law contains the plain one (b = 1) and describes polymers, whose parts relax at many rates. It is
reported where its b differs clearly from 1; else the plain one, which has one parameter less to be unsure of.

Half-time: when half of what relaxes in the end has relaxed, tau (ln 2)**(1/b).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analysis.kinds.least_squares import Fit, fit_model
from analysis.results import Measured, NotMeasured
from analysis.trace import FloatArray

EXPONENTIAL = "exponential"
STRETCHED = "stretched exponential"
#: Readings are taken together into so many means at most, evenly spaced in the logarithm of time.
MOST_MEANS = 400
#: Fewer means than this can't tell one law from another.
LEAST_MEANS = 12
#: A decay smaller than this many standard deviations of its means is none.
SEEN_SIGMAS = 10.0
#: b differs clearly from 1 by so many standard uncertainties, and by so much.
CLEAR_SIGMAS = 3.0
CLEAR_STEP = 0.03
#: Standard deviation of a normal distribution over its median absolute deviation.
SD_PER_MAD = 1.4826
#: Means that differ by less than this share are one value: what is left is rounding.
EVEN_SHARE = 1e-12
NO_DECAY = "the force did not relax clearly during the hold: hold longer, or stretch further"
#: Values of b that a law may have.
LIMITS_B = (0.1, 1.5)
#: Times tried as a start, as shares of the hold, and the b that the stretched law starts from.
STARTS = (0.01, 0.03, 0.1, 0.3, 1.0)
START_B = 0.7


@dataclass(frozen=True, slots=True)
class Decay:
    """A fitted law: force at the start and in the end [N], times [s], the exponent b (None for the plain law)."""

    law: str
    start_n: Measured
    left_n: Measured
    time_constant_s: Measured
    half_time_s: Measured
    exponent: Measured | None
    #: F_left, A, tau, b: for drawing the curve.
    parameters: tuple[float, float, float, float]

    def at(self, time_s: FloatArray) -> FloatArray:
        """Force of the law at times since the hold began [N]."""
        return law(np.array(self.parameters), time_s)


def law(parameters: FloatArray, time_s: FloatArray) -> FloatArray:
    """F_left + A exp(-(t/tau)**b); without a fourth parameter b is 1."""
    left, height, tau = parameters[:3]
    b = parameters[3] if parameters.size > 3 else 1.0
    return np.asarray(left + height * np.exp(-((time_s / abs(tau)) ** b)))


def fit_decay(
    time_s: FloatArray,
    force_n: FloatArray,
    u_drift_n: float = 0.0,
    u_start_s: float = 0.0,
    u_share: float = 0.0,
) -> Decay | NotMeasured:
    """Fit the force of a hold.

    Parameters
    ----------
    time_s
        Time since the hold began [s], rising, above zero.
    force_n
        Force [N], same length.
    u_drift_n
        Standard uncertainty of how far the zero wandered evenly from the beginning to the end [N].
    u_start_s
        Standard uncertainty of when the hold began [s].
    u_share
        Relative standard uncertainty of the times because the length was not quite held.

    Notes
    -----
    1. Means over intervals of equal logarithm of time, weighted by their number of readings.
    2. Both laws are fitted by least squares, the plain one from several starts.
    3. Covariances are scaled by the residuals, and by how alike neighbouring residuals are (first-order
       autocorrelation), so that a law that does not quite fit is no surer than it is.
    4. The drift of the zero and the start of the hold are carried by fitting again with them moved up and down.
    """
    t, y, count = _means(time_s, force_n)
    if t.size < LEAST_MEANS:
        return NotMeasured(f"only {time_s.size} readings in the hold: hold longer, or read the force faster")
    if not _falls(y, count):
        return NotMeasured(NO_DECAY)
    weights = np.sqrt(count)
    try:
        chosen = _chosen(_fit_plain(t, y, weights), t, y, weights)
        ramp = u_drift_n * t / float(t[-1])
        moved = (
            _moved(chosen, t, y + ramp, t, y - ramp, weights),
            _moved(chosen, t + u_start_s, y, t - u_start_s, y, weights),
        )
        return _decay(chosen, moved, u_share)
    except ValueError as problem:
        return NotMeasured(f"the force does not follow a law of relaxation ({problem})")


def _means(time_s: FloatArray, force_n: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Times, means and numbers of the readings in each interval that holds any."""
    if time_s.size == 0:
        return time_s, force_n, time_s
    edges = np.geomspace(float(time_s[0]), float(time_s[-1]) * (1.0 + 1e-12), MOST_MEANS + 1)
    place = np.clip(np.searchsorted(edges, time_s, side="right") - 1, 0, MOST_MEANS - 1)
    count = np.bincount(place, minlength=MOST_MEANS).astype(np.float64)
    held = count > 0
    t = np.bincount(place, time_s, MOST_MEANS)[held] / count[held]
    y = np.bincount(place, force_n, MOST_MEANS)[held] / count[held]
    return t, y, count[held]


def _falls(y: FloatArray, count: FloatArray) -> bool:
    """Whether the means fall clearly: by many times their scatter from one to the next."""
    ends = max(1, y.size // 20)
    fall = float(y[:ends].mean() - y[-ends:].mean())
    steps = np.diff(y) / np.sqrt(1.0 / count[1:] + 1.0 / count[:-1])
    scatter = SD_PER_MAD * float(np.median(np.abs(steps))) / math.sqrt(float(np.median(count)))
    return fall > max(SEEN_SIGMAS * scatter, EVEN_SHARE * float(np.max(np.abs(y))))


def _fit_plain(t: FloatArray, y: FloatArray, weights: FloatArray) -> Fit:
    start = min((_linear_at(share * float(t[-1]), t, y, weights) for share in STARTS), key=lambda tried: tried[1])
    return fit_model(law, start[0], t, y, weights=weights)


def _linear_at(tau: float, t: FloatArray, y: FloatArray, weights: FloatArray) -> tuple[FloatArray, float]:
    """The best level and height for a given time constant, and the sum of squares they leave."""
    columns = np.column_stack((np.ones_like(t), np.exp(-t / tau))) * weights[:, None]
    best, *_ = np.linalg.lstsq(columns, weights * y, rcond=None)
    return np.array([best[0], best[1], tau]), float(np.sum((columns @ best - weights * y) ** 2))


def _chosen(plain: Fit, t: FloatArray, y: FloatArray, weights: FloatArray) -> Fit:
    """The stretched law where it is clearly another one; else the plain one."""
    start = np.array([*plain.values[:2], abs(plain.values[2]), START_B])
    free = np.full(3, np.inf)
    bounds = (np.array([*-free, LIMITS_B[0]]), np.array([*free, LIMITS_B[1]]))
    try:
        stretched = fit_model(law, start, t, y, weights=weights, bounds=bounds)
    except ValueError:
        return plain
    off = 1.0 - float(stretched.values[3])
    u = math.sqrt(_alike(stretched)) * float(stretched.u[3])
    return stretched if off > max(CLEAR_SIGMAS * u, CLEAR_STEP) else plain


def _alike(fit: Fit) -> float:
    """By how much the covariance is too small because neighbouring residuals are alike."""
    r = fit.residuals
    alike = float(np.sum(r[1:] * r[:-1]) / np.sum(r * r)) if np.any(r) else 0.0
    alike = min(max(alike, 0.0), 0.95)
    return (1.0 + alike) / (1.0 - alike)


def _decay(fit: Fit, moved: tuple[dict[str, float], ...], u_share: float) -> Decay:
    results, cov = _results(fit.values), fit.cov * _alike(fit)
    measured = {}
    for name, value in results.items():
        slopes = _slopes(name, fit.values)
        shares = [share[name] for share in moved] + ([u_share * value] if name in ("tau", "half") else [])
        measured[name] = Measured(value, math.sqrt(float(slopes @ cov @ slopes) + sum(u * u for u in shares)))
    stretched = fit.values.size > 3
    values = [*map(float, fit.values), 1.0][:4]
    return Decay(
        law=STRETCHED if stretched else EXPONENTIAL,
        start_n=measured["start"],
        left_n=measured["left"],
        time_constant_s=measured["tau"],
        half_time_s=measured["half"],
        exponent=measured["b"] if stretched else None,
        parameters=(values[0], values[1], abs(values[2]), values[3]),
    )


def _results(values: FloatArray) -> dict[str, float]:
    left, height, tau = map(float, values[:3])
    b = float(values[3]) if values.size > 3 else 1.0
    half = abs(tau) * math.log(2.0) ** (1.0 / b)
    return {"start": left + height, "left": left, "tau": abs(tau), "half": half, "b": b}


def _slopes(name: str, values: FloatArray) -> FloatArray:
    """Derivatives of a result by the parameters, by central differences."""
    out = np.zeros(values.size)
    for k in range(values.size):
        step = np.zeros(values.size)
        step[k] = 1e-6 * max(abs(float(values[k])), 1e-9)
        out[k] = (_results(values + step)[name] - _results(values - step)[name]) / (2.0 * step[k])
    return out


def _moved(
    fit: Fit, t_up: FloatArray, y_up: FloatArray, t_down: FloatArray, y_down: FloatArray, weights: FloatArray
) -> dict[str, float]:
    """How far each result moves with an input: half the difference of the fits with it up and down."""
    if np.array_equal(t_up, t_down) and np.array_equal(y_up, y_down):
        return dict.fromkeys(_results(fit.values), 0.0)
    up = _results(fit_model(law, fit.values, t_up, y_up, weights=weights).values)
    down = _results(fit_model(law, fit.values, t_down, y_down, weights=weights).values)
    return {name: (up[name] - down[name]) / 2.0 for name in up}
