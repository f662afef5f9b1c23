"""Numbers in sentences: as many digits as the uncertainty carries, and no more.

Owns rounding for sentences. Must not know screens.
"""

from __future__ import annotations

import math

#: Digits kept of an uncertainty (GUM 7.2.6: two are enough).
KEPT_DIGITS = 2


def decimals_for(u: float) -> int:
    """How many decimals a value with standard uncertainty `u` is worth."""
    if not math.isfinite(u) or u <= 0.0:
        return 2
    return max(0, KEPT_DIGITS - 1 - math.floor(math.log10(u)))


def with_uncertainty(value: float, u: float, unit: str) -> str:
    """The value and its 95 % half-width (k = 2), for example "41.3 % ± 1.2 %"."""
    decimals = min(decimals_for(2.0 * u), 4)
    return f"{value:.{decimals}f} {unit} ± {2.0 * u:.{decimals}f} {unit}"


def short(value: float) -> str:
    """A number with three significant digits, without an exponent where that can be."""
    return f"{value:.3g}"


def percent(probability: float) -> str:
    """A probability in words that never says impossible or certain."""
    if probability > 0.999:
        return "over 99.9 %"
    if probability < 0.001:
        return "under 0.1 %"
    return f"{100.0 * probability:.1f} %" if not 0.1 <= probability <= 0.9 else f"{100.0 * probability:.0f} %"
