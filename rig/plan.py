"""What a person wants of a pull, checked and turned into what the board is told. Pure. Rejects, never clamps."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from pathlib import Path

from recordings.format import ForceCalibration, JsonValue, Method, Specimen
from rig.calibration_store import Calibrations
from rig.errors import BadPlan
from rig.facts import RigFacts
from rig.limits import HOST_MARGIN, TIME_MARGIN_S, Limits
from rig.phases import SEQUENCES, Ways, filled_in, longest_mm, ways
from rig.scale import Scale, counts_of_force
from rig.specimen_rules import check_specimen
from rig.stretcher import FORCE_SHARE

#: Rate of a pull where none was given: this share of the gauge length a minute, the rate of ASTM D3822 for
#: fibres with an elongation from 8 to 100 % (from memory).
RATE_PER_MIN = 0.6
#: Travel limit where none was given: this many gauge lengths, twice what a strand of hair stretches.
TRAVEL_GAUGE_LENGTHS = 1.0
#: A pull that would take longer is a slip of the finger [s].
LONGEST_PULL_S = 12 * 3600.0
#: A break is looked for once the force was above this [N]: well under the weakest strand, well over the noise.
BREAK_FLOOR_N = 0.03
#: The floor is at least this many standard deviations of the zero, so that noise alone never breaks.
BREAK_FLOOR_SD = 12.0
#: Guidelines for elongation that make sense [%].
GUIDELINE_PCT = (1.0, 100.0)


@dataclass(frozen=True, slots=True)
class PullPlan:
    """One pull as a person wants it. What is not given in `method` is filled in when the rig is known."""

    specimen: Specimen
    method: Method = field(default_factory=Method)
    directory: Path = Path()
    force_calibration: Path | None = None
    extension_calibration: Path | None = None
    #: For boards that print raw counts and steps and have no calibration: what the person says of their scale.
    counts_per_n: float | None = None
    steps_per_mm: float | None = None
    #: Where calibrations of boards are kept; None for the platform's own place.
    calibration_folder: Path | None = None
    #: Move the stage back to where it started, after a pull that ended as planned.
    return_after: bool = False
    #: The person has seen why the motor stopped last time, and says that the cause is gone.
    clear_stop: bool = False
    #: How long the force zero is taken for, and how long readings go on after the end [s of board time].
    zero_s: float = 1.0
    after_end_s: float = 0.5
    #: What the header says about a simulated rig.
    simulation: dict[str, JsonValue] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PullOrder:
    """A checked plan: the method with nothing left open, and what the board and the host's rules are told.

    `ways` are those of a pull of several phases; a pull to the break has none, and goes to `target_steps`.
    """

    method: Method
    start_steps: int
    target_steps: int
    speed_mm_min: float
    force_limit_counts: int
    limits: Limits
    ways: Ways | None = None


def order_of(
    plan: PullPlan, facts: RigFacts, calibrations: Calibrations, start_steps: int, homed: bool
) -> PullOrder:
    """Check a plan against a rig that stands at `start_steps`. Raises BadPlan with what to give instead."""
    check_specimen(plan.specimen)
    _check_method(plan.method)
    plan = replace(plan, method=filled_in(plan.method))
    speed = _speed(plan, facts)
    travel = _travel(plan, facts, _room_mm(facts, start_steps, homed))
    force = _force(plan, facts)
    duration = travel / speed * 60.0
    if duration > LONGEST_PULL_S:
        raise BadPlan(
            f"At {speed:g} mm/min the travel of {travel:g} mm takes {duration / 3600.0:.1f} h: give a speed of at "
            f"least {travel / LONGEST_PULL_S * 60.0:.2g} mm/min."
        )
    method = replace(plan.method, speed_mm_min=speed, travel_limit_mm=travel, force_limit_n=force)
    return PullOrder(
        method=method,
        start_steps=start_steps,
        target_steps=start_steps + facts.steps(travel),
        speed_mm_min=speed,
        force_limit_counts=max(1, round(_limit_counts(calibrations.force, force))),
        limits=Limits(force, travel, HOST_MARGIN * duration + TIME_MARGIN_S),
        ways=_ways(plan, calibrations, travel),
    )


def break_floor_counts(scale: Scale, sd_counts: float) -> float:
    """How far above zero the force must have been before a break is looked for [count]."""
    noise = BREAK_FLOOR_SD * sd_counts
    if scale.force is None:
        return max(noise, 1.0)
    return max(noise, counts_of_force(scale.force, BREAK_FLOOR_N), 1.0)


def _check_method(method: Method) -> None:
    if method.kind != "pull_to_break" and method.kind not in SEQUENCES:
        kinds = ", ".join(("pull_to_break", *SEQUENCES))
        raise BadPlan(f"There is no kind of pull called {method.kind!r}: choose from {kinds}.")
    low, high = GUIDELINE_PCT
    if not low <= method.guideline_pct <= high:
        raise BadPlan(f"A guideline of {method.guideline_pct:g} % is not possible: give {low:g} to {high:g} %.")


def _speed(plan: PullPlan, facts: RigFacts) -> float:
    given = plan.method.speed_mm_min
    speed = RATE_PER_MIN * plan.specimen.gauge_length_mm if given is None else given
    if not 0.0 < speed <= facts.max_speed_mm_min:
        raise BadPlan(
            f"A speed of {speed:g} mm/min is not possible: this rig goes from just above 0 to "
            f"{facts.max_speed_mm_min:g} mm/min."
        )
    return speed


def _room_mm(facts: RigFacts, start_steps: int, homed: bool) -> float:
    """How far the stage can still go: known only once it has been homed."""
    return facts.travel_mm - facts.mm(start_steps) if homed else facts.travel_mm


def _travel(plan: PullPlan, facts: RigFacts, room_mm: float) -> float:
    gauge, given = plan.specimen.gauge_length_mm, plan.method.travel_limit_mm
    if given is not None and not 0.0 < given <= facts.travel_mm:
        raise BadPlan(
            f"A travel limit of {given:g} mm is not possible: this rig goes up to {facts.travel_mm:g} mm."
        )
    wanted = _usual_travel(plan) if given is None else given
    if given is not None and wanted > room_mm:
        raise BadPlan(f"Only {room_mm:.1f} mm of travel are left, not {wanted:g} mm: move the stage back first.")
    needed = min(wanted, plan.method.guideline_pct / 100.0 * gauge)
    if room_mm < needed:
        raise BadPlan(
            f"Only {max(room_mm, 0.0):.1f} mm of travel are left, and this strand needs at least {needed:.1f} mm: "
            "move the stage back first."
        )
    return min(wanted, room_mm)


def _usual_travel(plan: PullPlan) -> float:
    gauge, target = plan.specimen.gauge_length_mm, plan.method.target_strain_pct
    if target is None:
        return TRAVEL_GAUGE_LENGTHS * gauge
    return longest_mm(gauge, target, plan.specimen.u_gauge_length_mm / gauge)


def _ways(plan: PullPlan, calibrations: Calibrations, travel_mm: float) -> Ways | None:
    target = plan.method.target_strain_pct
    if target is None:
        return None
    if calibrations.extension is None:
        raise BadPlan("The rig has no extension calibration, so no strain can be set: calibrate it first.")
    gauge = plan.specimen.gauge_length_mm
    u_share = math.hypot(plan.specimen.u_gauge_length_mm / gauge, calibrations.extension.u_rel)
    return ways(gauge, target, u_share, travel_mm)


def _force(plan: PullPlan, facts: RigFacts) -> float:
    given = plan.method.force_limit_n
    if given is None:
        return FORCE_SHARE * facts.force_range_n
    if not 0.0 < given <= facts.force_range_n:
        raise BadPlan(
            f"A force limit of {given:g} N is not possible: the load cell goes up to {facts.force_range_n:g} N."
        )
    return given


def _limit_counts(calibration: ForceCalibration | None, force_n: float) -> float:
    if calibration is None:
        raise BadPlan("The rig has no force calibration, so no force limit can be set: calibrate it first.")
    try:
        return counts_of_force(calibration, force_n)
    except ValueError as problem:
        raise BadPlan(f"The force calibration does not reach {force_n:g} N: calibrate the rig again.") from problem
