"""What can go wrong between the host and a rig, each with one sentence for the person at the bench.

    RigError
    ├─ BadPlan            the person asked for something out of range: nothing was sent
    ├─ LinkUnavailable    the port can't be opened
    ├─ LinkLost           the port was open and is gone
    ├─ NotARig            something answers, or nothing does, but it does not speak this wire
    ├─ WrongProtocol      a rig, but built for another version of the wire
    ├─ NoAnswer           a rig that does not answer a command any more
    ├─ BoardRestarted     the board has started anew and forgotten everything
    ├─ Refused            the rig answered no, and why
    ├─ Overtaken          a stop was sent while a command waited for its answer
    ├─ MotionFailed       a motion ended otherwise than asked
    ├─ NoReadings         the load cell or its amplifier gives no reading to use
    └─ RecordingFailed    the recording can't be written

`str(error)` is the sentence: it says what to do. `fault` says at whose side to look first. This module knows
no ports and no screens.
"""

from __future__ import annotations

from typing import ClassVar

from firmware_protocol.vocabulary import Result, StopReason, meaning


class RigError(Exception):
    """Something between the host and the rig went wrong; the text is one sentence that says what to do."""

    fault: ClassVar[str] = "host"


class BadPlan(RigError):
    """A value is out of its range; nothing was sent to the rig."""

    fault = "person"


class LinkUnavailable(RigError):
    """The port can't be opened."""

    fault = "link"


class LinkLost(RigError):
    """The port was open and is gone: the cable, the adapter or the other program."""

    fault = "link"


class NotARig(RigError):
    """Whatever is at the port does not speak this wire."""

    fault = "link"


class WrongProtocol(RigError):
    """A rig whose firmware was built for another version of the wire."""

    fault = "board"


class NoAnswer(RigError):
    """The rig does not answer a command, though the port is open."""

    fault = "board"

    def __init__(self, command: str) -> None:
        super().__init__(
            f"The rig does not answer {command!r} any more: press its emergency stop if anything moves, "
            "then check its power and cable and connect again."
        )
        self.command = command


class BoardRestarted(RigError):
    """The board has started anew: its motor stands, its position and its host are forgotten."""

    fault = "board"

    def __init__(self) -> None:
        super().__init__("The board was restarted: check its power supply and cable, then connect again and home.")


class Refused(RigError):
    """The rig answered no."""

    fault = "rig"

    def __init__(self, command: str, result: int, latched: StopReason = StopReason.NONE) -> None:
        super().__init__(_refusal(command, result, latched))
        self.command = command
        self.result = result
        self.latched = latched


class Overtaken(RigError):
    """A stop was sent while another command waited for its answer."""

    fault = "person"

    def __init__(self, command: str) -> None:
        super().__init__(
            f"A stop was sent before the rig had answered {command!r}: start again when you are ready."
        )


class MotionFailed(RigError):
    """A motion ended otherwise than asked."""

    fault = "rig"

    def __init__(self, motion: str, reason: StopReason) -> None:
        super().__init__(f"The rig stopped before the end of the {motion}: {meaning(reason)}; {ADVICE[reason]}.")
        self.reason = reason


class NoReadings(RigError):
    """The load cell or its amplifier gives no reading to use."""

    fault = "rig"


class RecordingFailed(RigError):
    """The recording can't be written."""

    fault = "host"


#: What to do about each reason the motor stopped for.
ADVICE: dict[StopReason, str] = {
    StopReason.NONE: "try again",
    StopReason.DONE: "nothing needs doing",
    StopReason.COMMAND: "start again when you are ready",
    StopReason.FORCE_LIMIT: "unload the strand, and raise the force limit only if the load cell allows it",
    StopReason.TRAVEL_LIMIT: "move the stage back before the next pull",
    StopReason.LIMIT_SWITCH: "move the stage away from the switch",
    StopReason.EMERGENCY_STOP: "make the rig safe, release the emergency stop, then clear it",
    StopReason.SENSOR_FAULT: "check the wiring of the load cell and its amplifier",
    StopReason.HOST_SILENT: "check the cable, and close whatever keeps this computer busy",
    StopReason.BREAK_SEEN: "take the strand out",
    StopReason.RESET: "check the board's power supply, then home the stage again",
    StopReason.MAIN_LOOP_HUNG: "switch the board off and on, and report this with its firmware version",
}


def _refusal(command: str, result: int, latched: StopReason) -> str:
    try:
        sentence = meaning(Result(result))
    except ValueError:
        return f"The rig answered {command!r} with the unknown code {result}: update this program or the board."
    advice = _REFUSAL_ADVICE[Result(result)]
    if latched not in (StopReason.NONE, StopReason.DONE, StopReason.COMMAND):
        advice = f"{meaning(latched)}; {ADVICE[latched]}"
    return f"The rig did not carry out {command!r} ({sentence}): {advice}."


_REFUSAL_ADVICE: dict[Result, str] = {
    Result.OK: "nothing needs doing",
    Result.BUSY: "wait until it stands still, or stop it first",
    Result.LATCHED: "find out why it stopped, then clear the stop",
    Result.BAD_VALUE: "choose a value within what the rig can do",
    Result.AT_LIMIT: "move the stage the other way",
    Result.NOT_IDENTIFIED: "connect again, since the board was restarted",
    Result.UNKNOWN: "update the board's firmware",
    Result.WRONG_REASON: "look at the reason it shows now, then clear that one",
    Result.SENSOR_NOT_READY: "wait a second; if it stays so, check the wiring of the load cell",
}
