"""Pulls of several phases as tables: what each phase does, and how it ends as planned. Pure.

    proof            to the guideline and no further, then back: the strand is kept
    hold             to a strain, held there while the force relaxes, then back
    stretch_return   to a strain, held, back, a rest, then stretched a little to find where the force rises again

Every kind begins by taking up the slack: the strain that is asked for counts from where the strand is taut. The
stop rules are the same in all phases; a phase that ends otherwise than it says here ends the pull.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from firmware_protocol.vocabulary import StopReason
from recordings.format import Method
from rig.errors import BadPlan
from rig.snapshot import Phase

#: The strand counts as taut at this force [N]: about 4 mN/tex for a strand of 70 um, within the 3 to 10 mN/tex of
#: ASTM D3822 (from memory).
PRETENSION_N = 0.02
#: Slack that is taken up at most, as a share of the gauge length; with more, the strand is not mounted well.
LARGEST_SLACK = 0.1
#: Strain that is asked for where nobody says otherwise [%], and what can be asked for.
TARGET_PCT = 20.0
TARGET_LIMITS_PCT = (2.0, 60.0)
#: The strand is stretched so many standard uncertainties further, so that the strain was certainly reached.
SURELY = 2.0
#: How far it is stretched again, as a share of the strain before: far enough to see the force rise.
AGAIN_SHARE = 0.5
#: Times where nobody says otherwise, by kind [s], and what can be asked for.
HOLD_S = {"hold": 60.0, "stretch_return": 5.0}
REST_S = {"stretch_return": 120.0}
SHORTEST_S = {"hold": 10.0, "stretch_return": 0.0}
LONGEST_S = 7200.0
#: On the way back the force falls by itself: slower than this much strain a reading, a break is still told from it.
BACK_STRAIN_PER_READING = 0.0005
#: A strand that is let back may lose force this many times faster than it gained it when it was stretched.
FASTER_BACK = 1.5


@dataclass(frozen=True, slots=True)
class PhaseRule:
    """One phase: its name in the recording, what a person is shown, the board's reason with which it ends as
    planned (None: it ends by time, the motor standing), and whether the force may fall by itself in it.
    """

    name: str
    shown: Phase
    ends_with: StopReason | None
    falls: bool = False

    @property
    def moves(self) -> bool:
        """Whether the motor runs in it."""
        return self.ends_with is not None


TIGHTEN = PhaseRule("tighten", Phase.TIGHTENING, StopReason.FORCE_LIMIT)
STRETCH = PhaseRule("stretch", Phase.PULLING, StopReason.DONE)
HOLD = PhaseRule("hold", Phase.HOLDING, None, falls=True)
RETURN = PhaseRule("return", Phase.LETTING_BACK, StopReason.DONE, falls=True)
REST = PhaseRule("rest", Phase.RESTING, None, falls=True)
STRETCH_AGAIN = PhaseRule("stretch_again", Phase.PULLING, StopReason.DONE)
LET_GO = PhaseRule("let_go", Phase.LETTING_BACK, StopReason.DONE, falls=True)

SEQUENCES: dict[str, tuple[PhaseRule, ...]] = {
    "proof": (TIGHTEN, STRETCH, RETURN),
    "hold": (TIGHTEN, STRETCH, HOLD, RETURN),
    "stretch_return": (TIGHTEN, STRETCH, HOLD, RETURN, REST, STRETCH_AGAIN, LET_GO),
}


@dataclass(frozen=True, slots=True)
class Ways:
    """How far the stage goes from its start, with the strain asked for as a fraction, a little over it included."""

    gauge_mm: float
    strain: float
    slack_mm: float

    def stretched_mm(self, taut_mm: float) -> float:
        """Where the strain is reached, by where the strand became taut."""
        return taut_mm + self.strain * (self.gauge_mm + taut_mm)

    def again_mm(self, taut_mm: float) -> float:
        """Where the second, smaller stretch ends."""
        return taut_mm + AGAIN_SHARE * self.strain * (self.gauge_mm + taut_mm)


def filled_in(method: Method) -> Method:
    """The method with what its phases need, nothing left open. Raises BadPlan for what can't be."""
    kind = method.kind
    if kind not in SEQUENCES:
        return _without_phases(method)
    if method.pretension_n is not None and not 0.0 < method.pretension_n <= 0.5:
        raise BadPlan(f"A pretension of {method.pretension_n:g} N is not possible: give 0.005 to 0.5 N.")
    return replace(
        method,
        target_strain_pct=_target(method),
        hold_s=_seconds(kind, "hold", method.hold_s, HOLD_S),
        rest_s=_seconds(kind, "rest", method.rest_s, REST_S),
        pretension_n=PRETENSION_N if method.pretension_n is None else method.pretension_n,
    )


def ways(gauge_mm: float, target_pct: float, u_share: float, travel_mm: float) -> Ways:
    """The ways within a travel, `u_share` being the relative standard uncertainty of the strain.

    Raises BadPlan where the travel leaves no room for slack.
    """
    strain = target_pct / 100.0 * (1.0 + SURELY * u_share)
    room_mm = (travel_mm - strain * gauge_mm) / (1.0 + strain)
    slack_mm = min(room_mm, LARGEST_SLACK * gauge_mm)
    if slack_mm < 0.1 * LARGEST_SLACK * gauge_mm:
        raise BadPlan(
            f"A travel of {max(travel_mm, 0.0):.1f} mm is too short to take up slack and stretch this strand by "
            f"{target_pct:g} %: give at least {longest_mm(gauge_mm, target_pct, u_share):.1f} mm, or move the "
            "stage back first."
        )
    return Ways(gauge_mm, strain, slack_mm)


def longest_mm(gauge_mm: float, target_pct: float, u_share: float) -> float:
    """The furthest that the stage can have to go [mm]."""
    slack_mm = LARGEST_SLACK * gauge_mm
    return slack_mm + target_pct / 100.0 * (1.0 + SURELY * u_share) * (gauge_mm + slack_mm)


def back_speed(speed_mm_min: float, gauge_mm: float, rate_hz: float) -> float:
    """Speed of the way back [mm/min]: that of the stretch, or slower where the readings are slow."""
    return min(speed_mm_min, BACK_STRAIN_PER_READING * gauge_mm * rate_hz * 60.0)


def _without_phases(method: Method) -> Method:
    for what in ("target_strain_pct", "hold_s", "rest_s"):
        if getattr(method, what) is not None:
            raise BadPlan(
                f"A pull of the kind {method.kind!r} has no strain to stop at, no hold and no rest: choose "
                f"{', '.join(SEQUENCES)}, or leave their numbers out."
            )
    return method


def _target(method: Method) -> float:
    if method.kind == "proof":
        if method.target_strain_pct not in (None, method.guideline_pct):
            raise BadPlan("A proof goes to the guideline and no further: change the guideline instead.")
        target = method.guideline_pct
    else:
        target = TARGET_PCT if method.target_strain_pct is None else method.target_strain_pct
    low, high = TARGET_LIMITS_PCT
    if not low <= target <= high:
        raise BadPlan(f"A stretch to {target:g} % is not possible: give {low:g} to {high:g} %.")
    return target


def _seconds(kind: str, what: str, given: float | None, usual: dict[str, float]) -> float | None:
    if kind not in usual:
        if given is not None:
            raise BadPlan(f"A pull of the kind {kind!r} has no {what}: leave its time out.")
        return None
    seconds = usual[kind] if given is None else given
    shortest = SHORTEST_S[kind]
    if not shortest <= seconds <= LONGEST_S:
        raise BadPlan(f"A {what} of {seconds:g} s is not possible: give {shortest:g} to {LONGEST_S:g} s.")
    return seconds
