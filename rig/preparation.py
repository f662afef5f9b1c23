"""Getting ready for a pull: everything that can be wrong is found out before anything moves."""

from __future__ import annotations

from dataclasses import dataclass

from firmware_protocol.vocabulary import LATCHING, Flag, Result, StopReason
from rig.calibration_store import calibrations_for
from rig.errors import BadPlan, Refused
from rig.header import header_of
from rig.plan import PullOrder, PullPlan, order_of
from rig.recorder import Recorder
from rig.scale import Scale
from rig.stretcher import Stretcher

#: How a pull ends, and what a program that died leaves behind: cleared by the next pull without asking.
CLEARED_BY_ITSELF = frozenset(
    {StopReason.BREAK_SEEN, StopReason.FORCE_LIMIT, StopReason.TRAVEL_LIMIT, StopReason.HOST_SILENT}
)


@dataclass(frozen=True, slots=True)
class Prepared:
    """A pull that may begin: the order for the board, the scale without its zero, and the open recording."""

    order: PullOrder
    scale: Scale
    recorder: Recorder


def prepare(stretcher: Stretcher, plan: PullPlan) -> Prepared:
    """Check everything, clear what is harmless, create the recording and switch the samples on.

    Raises BadPlan, Refused for a latched stop that a person must look at, RecordingFailed, or a link's end.
    """
    facts = stretcher.facts
    start_steps = stretcher.status().steps
    calibrations = calibrations_for(
        facts, plan.force_calibration, plan.extension_calibration, plan.calibration_folder
    )
    homed = bool(stretcher.flags & Flag.HOMED)
    order = order_of(plan, facts, calibrations, start_steps, homed)
    _check_room_behind(order, stretcher.flags)
    clear_latched(stretcher, everything=plan.clear_stop)
    now = stretcher.clock.today()
    header = header_of(facts, stretcher.address, calibrations, plan.specimen, order.method, now, plan.simulation)
    recorder = Recorder(plan.directory, header)
    stretcher.stream(True)
    gauge = plan.specimen.gauge_length_mm
    scale = Scale(calibrations.force, calibrations.extension, gauge, start_steps=start_steps)
    return Prepared(order, scale, recorder)


def _check_room_behind(order: PullOrder, flags: int) -> None:
    """Raises BadPlan where a pull that comes back to its start would run into the near limit switch."""
    if order.ways is not None and flags & Flag.NEAR_LIMIT:
        raise BadPlan(
            "The stage stands at its near limit switch, and this kind of pull comes back to where it began: move "
            "the stage a millimetre away from the switch first."
        )


def clear_latched(stretcher: Stretcher, *, everything: bool) -> None:
    """Clear a latched stop reason that needs nobody's look, or any where somebody has looked.

    Raises Refused for one that needs a look.
    """
    reason = stretcher.latched
    if reason not in LATCHING:
        return
    if not everything and reason not in CLEARED_BY_ITSELF:
        raise Refused("Pull", Result.LATCHED, reason)
    stretcher.clear()
