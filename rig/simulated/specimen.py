"""What is in the clamps: strands side by side, mostly one, in series with the rig's own give.

The stage moves by as much as the strand is extended and the rig gives way, so the strand sees the motion less
the give: the two are brought into balance. Knows not who mounts what and when.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rig.model_truth import COMPLIANCE_MM_PER_N
from rig.simulated.strand import Strand, StrandTruth

#: Beyond this strain keratin is damaged for good; the strand is not used again.
SPOILED_STRAIN = 0.30
#: A strand strained by less than this since it was mounted counts as untouched and may be mounted anew.
TOUCHED_STRAIN = 0.001
#: The balance of strand and give is found to this [mm], a tenth of a nanometre, within so many steps.
BALANCE_MM = 1e-7
BALANCE_STEPS = 6
#: The force, and with it the give, grows a little between two readings: a part this close to its break breaks [mm].
BREAK_REACH_MM = 1e-3
#: A strand slipping because of a fault begins at this share of the force it carries.
SLIP_FAULT_SHARE = 0.9


@dataclass(frozen=True, slots=True)
class PullTruth:
    """What really happened to what was in the clamps: the parts side by side, mostly one strand.

    `outcome`: "intact", "broke", "slipped" or "clamp_break". `break_strain`, `break_force_n` and `break_us` are of
    the first part that broke; strains are fractions, counted from the onset. `set_on_return` is the first part's
    set when it first went slack after its furthest stretch, `set_after_rest` when it first was taut again.
    """

    parts: tuple[StrandTruth, ...]
    mounted_at_mm: float
    outcome: str
    furthest_strain: float
    force_max_n: float
    break_strain: float | None = None
    break_force_n: float | None = None
    break_us: int | None = None
    set_on_return: float | None = None
    set_after_rest: float | None = None


class Specimen:
    """Strands mounted with the stage at `mounted_mm`, which is where the clamps stand at the gauge length."""

    def __init__(self, parts: Sequence[Strand], mounted_mm: float) -> None:
        self._parts = tuple(parts)
        self._mounted_mm = mounted_mm
        self._fresh = tuple(part.strain_at(0.0) for part in parts)
        self._extension_mm = 0.0
        self._moved_mm = 0.0
        self._share = 1.0
        self._force_n = 0.0
        self._force_max_n = 0.0
        self._outcome = "intact"
        self._break: tuple[float, float, int] | None = None
        #: Position of the stage at which the next part breaks, with the give as it is now [mm].
        self.break_mm = math.inf
        self.hold(mounted_mm, 0.0)

    @property
    def truth(self) -> PullTruth:
        """What has happened so far."""
        slipped = self._outcome == "intact" and self._slipped
        strain, force_n, at_us = self._break or (None, None, None)
        return PullTruth(
            parts=tuple(part.truth for part in self._parts),
            mounted_at_mm=self._mounted_mm,
            outcome="slipped" if slipped else self._outcome,
            furthest_strain=max(0.0, *(part.furthest for part in self._parts)),
            force_max_n=self._force_max_n,
            break_strain=strain,
            break_force_n=force_n,
            break_us=at_us,
            set_on_return=self._parts[0].set_on_return,
            set_after_rest=self._parts[0].set_after_rest,
        )

    @property
    def spoiled(self) -> bool:
        """Whether it can't be used for another pull; a spring or wire keeps no set, and always can."""
        overstretched = any(part.furthest > SPOILED_STRAIN and part.truth.set_share for part in self._parts)
        return self._break is not None or self._slipped or overstretched

    @property
    def touched(self) -> bool:
        """Whether it was stretched at all since it was mounted."""
        pairs = zip(self._parts, self._fresh, strict=True)
        return any(part.furthest > fresh + TOUCHED_STRAIN for part, fresh in pairs)

    def hold(self, stage_mm: float, dt_s: float) -> float:
        """Take the stage to a position within `dt_s`; the force on the cell [N]."""
        self._balance(stage_mm - self._mounted_mm)
        self._force_n = sum([part.stretch(self._extension_mm, dt_s) for part in self._parts])
        self._force_max_n = max(self._force_max_n, self._force_n)
        next_break_mm = min([part.break_extension_mm for part in self._parts])
        self.break_mm = self._mounted_mm + next_break_mm + COMPLIANCE_MM_PER_N * self._force_n
        return self._force_n

    def tear(self, stage_mm: float, dt_s: float, now_us: int) -> tuple[float, float]:
        """Break the parts that break with the stage there; the force just before and just after [N]."""
        before_n = self.hold(stage_mm, dt_s)
        for part in self._parts:
            if self._extension_mm >= part.break_extension_mm - BREAK_REACH_MM:
                self._end(part, "broke", now_us)
        return before_n, self.hold(stage_mm, 0.0)

    def tear_at_clamp(self, now_us: int) -> None:
        """Break everything at once, for a reason that is not the strand's own."""
        for part in self._parts:
            if not part.broken:
                self._end(part, "clamp_break", now_us)

    def slacken_grip(self) -> None:
        """Let the strands slip from about the force they carry now."""
        for part in self._parts:
            if part.slip_force_n is None and not part.broken:
                part.slip_force_n = SLIP_FAULT_SHARE * self._force_n / len(self._parts)

    @property
    def _slipped(self) -> bool:
        return any(part.slipped_mm > 0.0 for part in self._parts)

    def _end(self, part: Strand, outcome: str, now_us: int) -> None:
        if self._break is None:
            self._break = (part.strain, self._force_n, now_us)
            self._outcome = outcome
        part.broken = True

    def _balance(self, moved_mm: float) -> None:
        """Find the extension of the strands when the stage has moved so far: the rest is the rig's own give.

        Newton's method, begun where the strands would be if they took the same share of the motion as last time.
        """
        before_mm, motion_mm = self._extension_mm, moved_mm - self._moved_mm
        extension_mm = before_mm + self._share * motion_mm
        for _ in range(BALANCE_STEPS):
            force_n = sum([part.force_n(extension_mm) for part in self._parts])
            excess_mm = extension_mm + COMPLIANCE_MM_PER_N * force_n - moved_mm
            if abs(excess_mm) < BALANCE_MM:
                break
            slope = sum([part.slope_n_per_mm(extension_mm) for part in self._parts])
            extension_mm -= excess_mm / (1.0 + COMPLIANCE_MM_PER_N * slope)
        self._extension_mm, self._moved_mm = extension_mm, moved_mm
        if motion_mm:
            self._share = min(max((extension_mm - before_mm) / motion_mm, 0.0), 1.0)
