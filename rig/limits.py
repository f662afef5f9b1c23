"""The host's stop rules: pure functions from what is known now to a reason to stop, or None.

The board has its own limits and is first to act; these are the second line, and the only one against what the
board can't see (a link that loses too much, a motor that does not do as told). Each rule says its reason in
words with numbers and units.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from firmware_protocol.vocabulary import Flag, StopReason, stop_reason

#: The host stops this far beyond the limit that the board was told: the board must have had its chance.
HOST_MARGIN = 1.05
#: A stream without a sample for this long has ended [s].
SILENCE_S = 2.0
#: A pull may take this much longer than its length and speed say [s].
TIME_MARGIN_S = 10.0
#: More than this share of samples lost is blindness, not noise; judged from `QUALITY_FROM` samples on.
LOST_SHARE = 0.5
QUALITY_FROM = 200

#: A fine amplifier whose readings repeat exactly for this long, this often, is frozen: noise alone would move it.
FROZEN_S = 2.0
FROZEN_READINGS = 20

#: Reasons of recordings' end lines, by the board's reason. DONE is told by the run, which knows what was asked.
END_REASONS: dict[StopReason, str] = {
    StopReason.COMMAND: "key",
    StopReason.FORCE_LIMIT: "force_limit",
    StopReason.TRAVEL_LIMIT: "travel_limit",
    StopReason.DONE: "travel_limit",
    StopReason.LIMIT_SWITCH: "limit_switch",
    StopReason.EMERGENCY_STOP: "emergency_stop",
    StopReason.SENSOR_FAULT: "sensor_fault",
    StopReason.HOST_SILENT: "silence",
    StopReason.BREAK_SEEN: "break",
    StopReason.RESET: "board_reset",
    StopReason.MAIN_LOOP_HUNG: "error",
}


@dataclass(frozen=True, slots=True)
class Trip:
    """A reason to stop: the end reason of the recording, and a sentence."""

    reason: str
    text: str


@dataclass(frozen=True, slots=True)
class Limits:
    """What a pull may not exceed. A limit that does not apply is None."""

    force_n: float | None = None
    travel_mm: float | None = None
    duration_s: float | None = None
    silence_s: float = SILENCE_S


@dataclass(frozen=True, slots=True)
class View:
    """What is known now: median force and extension since the start, times, and how the link does."""

    force_n: float | None
    extension_mm: float | None
    elapsed_s: float
    silent_s: float
    samples: int
    lost: int
    flags: int = 0
    #: How long the same reading has been repeated, and how often.
    frozen_s: float = 0.0
    frozen_readings: int = 0


Rule = Callable[[View, Limits], Trip | None]


def check(view: View, limits: Limits) -> Trip | None:
    """The first rule that is broken, the most urgent first."""
    return next((trip for rule in RULES if (trip := rule(view, limits))), None)


def emergency(view: View, limits: Limits) -> Trip | None:
    """The emergency stop is pressed."""
    if view.flags & Flag.EMERGENCY_STOP or stop_reason(view.flags) is StopReason.EMERGENCY_STOP:
        return Trip("emergency_stop", "The emergency stop was pressed: make the rig safe before you release it.")
    return None


def sensor(view: View, limits: Limits) -> Trip | None:
    """The force amplifier delivers nothing."""
    if view.flags & Flag.SENSOR_FAULT:
        return Trip("sensor_fault", "The force amplifier delivers no readings: check the wiring of the load cell.")
    return None


def frozen(view: View, limits: Limits) -> Trip | None:
    """The force amplifier repeats itself: no force limit can act. The end of its range is another matter."""
    if view.frozen_s < FROZEN_S or view.frozen_readings < FROZEN_READINGS or view.flags & Flag.SATURATED:
        return None
    return Trip(
        "sensor_fault",
        f"The force reading has not changed by a single count for {view.frozen_s:.1f} s: check the wiring of the "
        "load cell and its amplifier.",
    )


def force(view: View, limits: Limits) -> Trip | None:
    """The force is well beyond its limit, and the board has not stopped."""
    if limits.force_n is None or view.force_n is None or abs(view.force_n) < HOST_MARGIN * limits.force_n:
        return None
    return Trip(
        "force_limit", f"The force reached {abs(view.force_n):.3f} N, and the limit is {limits.force_n:.3f} N."
    )


def travel(view: View, limits: Limits) -> Trip | None:
    """The stage is well beyond its limit, and the board has not stopped."""
    if limits.travel_mm is None or view.extension_mm is None:
        return None
    if abs(view.extension_mm) < HOST_MARGIN * limits.travel_mm:
        return None
    return Trip(
        "travel_limit", f"The stage went {view.extension_mm:.2f} mm, and the limit is {limits.travel_mm:.2f} mm."
    )


def silence(view: View, limits: Limits) -> Trip | None:
    """Nothing comes any more, though the link is open."""
    if view.silent_s < limits.silence_s:
        return None
    return Trip("silence", f"No reading came for {view.silent_s:.1f} s: check the cable and the board's power.")


def duration(view: View, limits: Limits) -> Trip | None:
    """The pull takes longer than it can."""
    if limits.duration_s is None or view.elapsed_s < limits.duration_s:
        return None
    return Trip(
        "error",
        f"The pull was not over after {view.elapsed_s:.0f} s, so the motor does not run as it was told: check that "
        "the stage moves freely and that the board's steps per millimetre are right.",
    )


def quality(view: View, limits: Limits) -> Trip | None:
    """So much is lost that nobody is really watching."""
    expected = view.samples + view.lost
    if expected < QUALITY_FROM or view.lost <= LOST_SHARE * expected:
        return None
    return Trip(
        "error",
        f"{view.lost} of {expected} readings were lost on the way: use a shorter cable or a lower rate.",
    )


RULES: tuple[Rule, ...] = (emergency, sensor, frozen, force, travel, silence, duration, quality)
