"""The stress a keratin fibre answers with when it is stretched for the first time: a pure function of strain.

Three straight stretches (elastic, yield, post-yield) joined by rounded corners, and a rounded foot where the
last crimp is pulled out. Every corner is a softplus, which keeps to its two straight lines away from the
corner: so the lines meet exactly at the strains named here, and a line through the elastic stretch meets zero
stress exactly at zero strain. That is what makes the truth of the model known to the last digit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

#: A softplus this many widths from its corner is a straight line to the last bit of a float.
_STRAIGHT = 36.0


def softplus(x: float, width: float) -> float:
    """0 far below zero, x far above, rounded over about three `width`s on either side."""
    if x > _STRAIGHT * width:
        return x
    if x < -_STRAIGHT * width:
        return 0.0
    return width * math.log1p(math.exp(x / width))


def logistic(x: float, width: float) -> float:
    """The slope of `softplus`: 0 far below zero, 1 far above."""
    if x > _STRAIGHT * width:
        return 1.0
    if x < -_STRAIGHT * width:
        return 0.0
    return 1.0 / (1.0 + math.exp(-x / width))


@dataclass(frozen=True)
class KeratinCurve:
    """First loading of a fibre: strains as fractions (0.02 is 2 %), stresses in MPa of the unstretched area.

    `modulus_mpa`, `yield_slope_mpa` and `post_yield_slope_mpa` are the slopes of the three stretches; the first
    two lines meet at `yield_strain`, the last two at `post_yield_strain`. The widths say how round the corners are.
    """

    modulus_mpa: float
    yield_strain: float
    yield_slope_mpa: float
    post_yield_strain: float
    post_yield_slope_mpa: float
    yield_width: float = 0.003
    post_yield_width: float = 0.012
    foot_width: float = 0.0004

    @property
    def yield_stress_mpa(self) -> float:
        """Stress where the elastic and the yield line meet."""
        return self.modulus_mpa * self.yield_strain

    def stress_mpa(self, strain: float) -> float:
        """Stress at a strain; zero while the strand is slack."""
        taut = softplus(strain, self.foot_width)
        if taut == 0.0:
            return 0.0
        bent = self._bend * softplus(taut - self.yield_strain, self.yield_width)
        stiffened = self._stiffening * softplus(taut - self.post_yield_strain, self.post_yield_width)
        return self.modulus_mpa * taut + bent + stiffened - self._at_zero_mpa

    def slope_mpa(self, strain: float) -> float:
        """Slope of the stress at a strain."""
        taut = softplus(strain, self.foot_width)
        slope = (
            self.modulus_mpa
            + self._bend * logistic(taut - self.yield_strain, self.yield_width)
            + self._stiffening * logistic(taut - self.post_yield_strain, self.post_yield_width)
        )
        return slope * logistic(strain, self.foot_width)

    @cached_property
    def _bend(self) -> float:
        return self.yield_slope_mpa - self.modulus_mpa

    @cached_property
    def _stiffening(self) -> float:
        return self.post_yield_slope_mpa - self.yield_slope_mpa

    @cached_property
    def _at_zero_mpa(self) -> float:
        """What the tails of the two corners add up to at zero strain."""
        return self._bend * softplus(-self.yield_strain, self.yield_width) + self._stiffening * softplus(
            -self.post_yield_strain, self.post_yield_width
        )
