"""Positions for a calibration of extension, each reached from the same side, so that play shows or stays out.

Knows steps and how to go there; what a dial gauge or a block says there is the person's to read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from firmware_protocol.vocabulary import Flag, StopReason
from rig.errors import BadPlan, MotionFailed
from rig.stretcher import Stretcher

#: Every way begins this far on the other side of its first position, to take the play out [mm].
RUN_UP_MM = 0.5
#: Positions are reached slowly: nothing must swing or overshoot [mm/min].
APPROACH_MM_MIN = 30.0


@dataclass(frozen=True, slots=True)
class Stop:
    """A position on the way: from the first one [mm] as the board counts, its step count, and which way."""

    nominal_mm: float
    steps: int
    outward: bool


def planned_stops(stretcher: Stretcher, positions_mm: Sequence[float], *, back: bool) -> tuple[Stop, ...]:
    """The stops of a way out from where the stage stands, and back if wanted. Raises BadPlan without the room."""
    facts, rising = stretcher.facts, sorted(set(positions_mm))
    if not rising or rising[0] < 0:
        raise BadPlan("Positions are counted outwards from where the stage stands: give none below 0.")
    here = stretcher.status().steps
    needed = rising[-1] + (2 if back else 1) * RUN_UP_MM
    room = facts.travel_mm - (facts.mm(here) if stretcher.flags & Flag.HOMED else 0.0)
    if needed > room:
        raise BadPlan(
            f"The positions need {needed:g} mm of travel and {max(room, 0.0):.1f} mm are left: move the stage back "
            "first, or give shorter ones."
        )
    start = here + facts.steps(RUN_UP_MM)
    out = [Stop(mm, start + facts.steps(mm), True) for mm in rising]
    return (*out, *(Stop(s.nominal_mm, s.steps, False) for s in reversed(out))) if back else tuple(out)


def go_to(stretcher: Stretcher, stop: Stop) -> int:
    """Move to a stop from its own side; the step count there. Raises MotionFailed where it was not reached."""
    run_up = stretcher.facts.steps(RUN_UP_MM)
    here = stretcher.status().steps
    if stop.outward and here >= stop.steps:
        _move(stretcher, stop.steps - run_up)
    elif not stop.outward and here <= stop.steps:
        _move(stretcher, stop.steps + run_up)
    return _move(stretcher, stop.steps)


def nudge(stretcher: Stretcher, by_mm: float) -> int:
    """Move by a little, as for a block that must just fit; the step count there. Raises as `go_to`.

    Inwards it goes further and comes back, so that the play stays taken out.
    """
    facts = stretcher.facts
    target = stretcher.status().steps + facts.steps(by_mm)
    if by_mm < 0:
        _move(stretcher, target - facts.steps(RUN_UP_MM))
    return _move(stretcher, target)


def _move(stretcher: Stretcher, target_steps: int) -> int:
    speed = min(APPROACH_MM_MIN, stretcher.facts.max_speed_mm_min)
    reason = stretcher.return_to(target_steps, speed)
    if reason is not StopReason.DONE:
        raise MotionFailed("move", reason)
    return stretcher.status().steps
