"""One strand between the clamps: what force it answers with, and what being stretched does to it.

    first loading   the keratin curve, times a stiffness that depends on how fast it is stretched
    return          falls faster than it rose and reaches zero before the start: hysteresis, and a set of which
                    a part recovers with time and the rest stays
    loading again   the same curve, squeezed between the set and the furthest strain so far
    hold            the stress relaxes towards a lower level, exponentially
    slip            above a force the strand creeps through its clamp in jumps, each making the next easier
    break           at a strain of the strand's own, at once

Simple laws chosen to look and behave like keratin, with a known truth: not a theory of keratin. Pure and
deterministic; knows no stage, amplifier or board.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from rig.simulated.curve import KeratinCurve

#: Rate at which the curves of the catalogue hold: 60 % a minute.
REFERENCE_RATE_PER_S = 0.01
#: Rates outside of these are taken as these [1/s].
RATE_LIMITS_PER_S = (1e-4, 1.0)
#: The stiffness follows a change of rate over this much strain.
MEMORY_STRAIN = 0.005
#: A direction reversed is felt over this much strain.
REVERSAL_STRAIN = 0.015
#: At the end of a long way back, the stress is this share below the straight line to the set.
HYSTERESIS = 0.45
#: How late on the way back the stress falls: the power of the steep part.
STEEP_POWER = 8
#: Of the strain beyond the post-yield corner this share stays for good, whatever the fibre's history.
TORN_SHARE = 0.3
#: Half of the set is recovered with this time constant [s] (overnight in water; minutes in air, in part).
RECOVERY_S = 120.0
RECOVERED_SHARE = 0.5

#: A slip lets this much strand through [mm], evenly spread, and leaves the grip with this share of its hold.
SLIP_JUMP_MM = (0.04, 0.14)
SLIP_FORCE_KEPT = 0.996


@dataclass(frozen=True)
class StrandTruth:
    """Everything about a strand that a measurement tries to find out. Strains are fractions.

    `break_strain` is counted from the onset, over gauge length plus slack; None never breaks.
    `relaxed_share` of the stress is lost in a long hold, with time constant `relaxation_s`; a tenfold rate adds
    `stiffer_per_decade` to it. `set_share` of the strain beyond yield is the set right after a return. Above
    `slip_force_n` the strand slips in its clamp.
    """

    kind: str
    number: int
    condition: str
    diameter_um: float
    area_um2: float
    gauge_length_mm: float
    slack_mm: float
    curve: KeratinCurve
    break_strain: float | None
    relaxed_share: float = 0.18
    relaxation_s: float = 25.0
    #: From memory: keratin gains some 5 % of stress a decade of rate.
    stiffer_per_decade: float = 0.05
    set_share: float = 0.08
    slip_force_n: float | None = None

    @property
    def onset_length_mm(self) -> float:
        """Length between the clamps at which the strand becomes taut."""
        return self.gauge_length_mm + self.slack_mm

    def force_n(self, strain: float) -> float:
        """Force at a strain in a first loading at the reference rate."""
        return self.curve.stress_mpa(strain) * self.area_um2 * 1e-6


class Strand:
    """A strand in the clamps. Give it extensions of the clamps in order of time with `stretch`."""

    def __init__(self, truth: StrandTruth, rng: Random) -> None:
        self.truth = truth
        self.broken = False
        self.slipped_mm = 0.0
        self.strain = self.furthest = self.strain_at(0.0)
        self.slip_force_n = truth.slip_force_n
        #: The set when the strand first went slack after its furthest stretch, and when it first was taut again.
        self.set_on_return: float | None = None
        self.set_after_rest: float | None = None
        self._slack = False
        self._rng = rng
        self._rising = 1.0
        self._stiffness = 1.0
        self._unrecovered = 1.0
        self._area_mm2 = truth.area_um2 * 1e-6

    def strain_at(self, extension_mm: float) -> float:
        """Strain when the clamps have moved apart by this much from the gauge length."""
        onset_mm = self.truth.slack_mm + self.slipped_mm
        return (extension_mm - onset_mm) / (self.truth.gauge_length_mm + onset_mm)

    def force_n(self, extension_mm: float) -> float:
        """Force at that extension, were the strand taken there this moment."""
        if self.broken:
            return 0.0
        return self._stress_mpa(self.strain_at(extension_mm)) * self._stiffness * self._area_mm2

    def slope_n_per_mm(self, extension_mm: float) -> float:
        """About how fast the force grows with extension, for whoever solves for an equilibrium."""
        if self.broken:
            return 0.0
        slope_mpa = self.truth.curve.slope_mpa(self.strain_at(extension_mm))
        return slope_mpa * self._area_mm2 / (self.truth.onset_length_mm + self.slipped_mm)

    @property
    def break_extension_mm(self) -> float:
        """Extension that the strand does not survive; infinite where it survives all, or is broken already."""
        limit = self.truth.break_strain
        if self.broken or limit is None:
            return math.inf
        onset_mm = self.truth.slack_mm + self.slipped_mm
        return onset_mm + limit * (self.truth.gauge_length_mm + onset_mm)

    def stretch(self, extension_mm: float, dt_s: float) -> float:
        """Take the strand to an extension within `dt_s`; the force it answers with [N]."""
        if self.broken:
            return 0.0
        strain = self.strain_at(extension_mm)
        change = strain - self.strain
        self.strain = strain
        self._turn(change)
        self._recover(strain, dt_s)
        self.furthest = max(self.furthest, strain)
        self._note_slack()
        self._stiffen(abs(change), dt_s)
        force_n = self.force_n(extension_mm)
        if self.slip_force_n is not None and force_n >= self.slip_force_n:
            self._slip()
        return force_n

    def set_strain(self) -> float:
        """Strain at which a strand on its way back goes slack."""
        curve = self.truth.curve
        beyond_yield = max(0.0, self.furthest - curve.yield_strain)
        torn = TORN_SHARE * max(0.0, self.furthest - curve.post_yield_strain)
        kept = 1.0 - RECOVERED_SHARE * (1.0 - self._unrecovered)
        return min(self.truth.set_share * beyond_yield * kept + torn, 0.9 * max(0.0, self.furthest))

    def _stress_mpa(self, strain: float) -> float:
        curve = self.truth.curve
        if strain >= self.furthest or self.furthest < 0.5 * curve.yield_strain:
            return curve.stress_mpa(strain)
        start = self.set_strain()
        done = (strain - start) / (self.furthest - start)
        rising = curve.stress_mpa(done * self.furthest)
        if self._rising >= 1.0:
            return rising
        steep = HYSTERESIS * -math.expm1(-max(0.0, self.furthest / curve.yield_strain - 1.0))
        share = (1.0 - steep) * done + steep * done**STEEP_POWER if done > 0.0 else 0.0
        falling = curve.stress_mpa(self.furthest) * share
        return self._rising * rising + (1.0 - self._rising) * falling

    def _note_slack(self) -> None:
        """Remember the set where the strand first goes slack, and where it first is taut again."""
        if self.strain >= self.furthest or self.furthest < 0.5 * self.truth.curve.yield_strain:
            self.set_on_return = self.set_after_rest = None
            self._slack = False
            return
        set_strain = self.set_strain()
        slack = self.strain < set_strain
        if slack and self.set_on_return is None:
            self.set_on_return = set_strain
        elif self._slack and not slack and self.set_after_rest is None:
            self.set_after_rest = set_strain
        self._slack = slack

    def _turn(self, change: float) -> None:
        """Go over from the falling curve to the rising one or back, as it moves; at once where it is slack."""
        rest = math.exp(-abs(change) / REVERSAL_STRAIN)
        self._rising = self._rising * rest + (1.0 - rest) * (change > 0.0)
        stretched_while_slack = change > 0.0 and self.strain < self.set_strain()
        if self.strain >= self.furthest or stretched_while_slack:
            self._rising = 1.0

    def _recover(self, strain: float, dt_s: float) -> None:
        """Let the set recover while the strand is not held out; stretching further makes it anew."""
        if strain > self.furthest:
            self._unrecovered = 1.0
        elif strain < 0.5 * self.furthest:
            self._unrecovered *= math.exp(-dt_s / RECOVERY_S)

    def _stiffen(self, moved: float, dt_s: float) -> None:
        """Follow the rate when moving, relax when held: one law for both.

        ds/dt = -(s - relaxed)/relaxation_s - (s - fast) rate/MEMORY_STRAIN

        where `fast` is such that s stays 1 at the reference rate.
        """
        if dt_s <= 0.0:
            return
        if self.strain <= 0.0:
            self._stiffness = 1.0
            return
        rate = moved / dt_s
        low, high = RATE_LIMITS_PER_S
        decades = math.log10(min(max(rate, low), high) / REFERENCE_RATE_PER_S)
        pull, hold = rate / MEMORY_STRAIN, 1.0 / self.truth.relaxation_s
        relaxed = 1.0 - self.truth.relaxed_share
        fast = 1.0 + (1.0 - relaxed) * hold * MEMORY_STRAIN / REFERENCE_RATE_PER_S
        fast += self.truth.stiffer_per_decade * decades
        level = (fast * pull + relaxed * hold) / (pull + hold)
        self._stiffness = level + (self._stiffness - level) * math.exp(-(pull + hold) * dt_s)

    def _slip(self) -> None:
        """Let a piece of strand through the clamp, which holds less from then on."""
        self.slipped_mm += self._rng.uniform(*SLIP_JUMP_MM)
        self.slip_force_n = (self.slip_force_n or 0.0) * SLIP_FORCE_KEPT
