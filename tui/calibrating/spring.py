"""A reference spring stretched by the stage, and its stiffness against what it should be."""

from __future__ import annotations

import argparse
import math
import time
from typing import TYPE_CHECKING

from tui.asking import ask, somebody_answers
from tui.calibrating.force_guide import NOBODY
from tui.consent import get_consent, show_cautions
from tui.failure import CommandError
from tui.format import plain
from tui.output import note

if TYPE_CHECKING:
    from analysis.metrology.daily_check import CheckResult, RestLevel
    from rig.calibration_store import Calibrations
    from rig.stretcher import Stretcher

#: Share of its stiffness that the standard uncertainty of a reference spring is where nobody gave one.
#: Common practice, no source.
U_SPRING_SHARE = 0.003
#: The far position is where the spring should pull with this share of the load cell's range ...
FAR_SHARE = 0.4
#: ... but no further than this [mm]; the near one is at a quarter of the way.
FURTHEST_MM = 15.0
NEAR_SHARE = 0.25


def check_spring(stretcher: Stretcher, args: argparse.Namespace, calibrations: Calibrations) -> CheckResult:
    """Take the levels slack, near and far, move back, and compare the stiffness."""
    from analysis.metrology.daily_check import check_reading, spring_rate
    from rig.preparation import clear_latched

    force, extension = calibrations.force, calibrations.extension
    assert force is not None
    if extension is None:
        raise CommandError("Without a calibration of extension a spring says nothing: calibrate it first.")
    far_mm = min(FURTHEST_MM, FAR_SHARE * stretcher.facts.force_range_n / args.spring_n_mm)
    show_cautions(simulated=stretcher.facts.simulated)
    get_consent(agreed=args.yes or stretcher.facts.simulated)
    _await_spring(args, far_mm)
    clear_latched(stretcher, everything=False)
    stretcher.zero()
    start = stretcher.status().steps
    zero = _level(stretcher, args)
    try:
        near = _at(stretcher, args, start, NEAR_SHARE * far_mm)
        far = _at(stretcher, args, start, far_mm)
    finally:
        if stretcher.link_cause is None and not stretcher.moving:
            stretcher.return_to(start)
    rate, u_rate = spring_rate(force, extension, zero, near, far)
    u_spring = U_SPRING_SHARE * args.spring_n_mm if args.u_spring_n_mm is None else args.u_spring_n_mm
    return check_reading("reference spring", args.spring_n_mm, u_spring, rate, u_rate)


def _await_spring(args: argparse.Namespace, far_mm: float) -> None:
    what = f"Hang the reference spring slack in both clamps; it is stretched by {plain(far_mm, 'mm', 3)}."
    if args.wait_s is not None:
        note(f"{what} ({plain(args.wait_s, 's')})")
        time.sleep(args.wait_s)
    elif somebody_answers():
        ask(f"{what} Press Enter when every finger is clear of the stage.")
    else:
        raise CommandError(NOBODY)


def _at(stretcher: Stretcher, args: argparse.Namespace, start_steps: int, mm: float) -> RestLevel:
    """The level with the stage so far from its start."""
    from firmware_protocol.vocabulary import StopReason
    from rig.errors import MotionFailed

    reason = stretcher.return_to(start_steps + stretcher.facts.steps(mm))
    if reason is not StopReason.DONE:
        raise MotionFailed("move", reason)
    return _level(stretcher, args)


def _level(stretcher: Stretcher, args: argparse.Namespace) -> RestLevel:
    from analysis.metrology.daily_check import RestLevel
    from rig.levels import take_level

    level = take_level(stretcher, args.seconds)
    return RestLevel(level.counts, level.sd_counts / math.sqrt(level.n), stretcher.status().steps)
