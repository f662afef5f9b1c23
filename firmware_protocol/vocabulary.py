"""The codes that messages carry: flags, stop reasons, answers, events, board states.

A code's member carries its number; its sentence stands in `SENTENCES` and is had from `meaning`.
"""

from __future__ import annotations

import enum

#: Version of the wire. Host and board must have the same one.
PROTOCOL_VERSION = 1

#: Speed of the serial line [baud] unless another is chosen: exact on a 16 MHz board, where 115200 is 2 % off.
DEFAULT_BAUD = 250_000

#: A board whose motor runs stops when no good frame came from the host for this long [ms].
HOST_SILENCE_MS = 500

#: The host says it is alive this often [ms]: several heartbeats may be lost before the board gives up on it.
HEARTBEAT_MS = 100


class Flag(enum.IntFlag):
    """The low byte of `flags` in every Sample and Status: what is true now."""

    MOVING = 1 << 0
    HOMED = 1 << 1
    NEAR_LIMIT = 1 << 2
    FAR_LIMIT = 1 << 3
    EMERGENCY_STOP = 1 << 4
    SENSOR_FAULT = 1 << 5
    SATURATED = 1 << 6
    READINGS_DROPPED = 1 << 7


#: `flags >> STOP_REASON_SHIFT` is the latched stop reason.
STOP_REASON_SHIFT = 8


class StopReason(enum.IntEnum):
    """Why the motor last stopped: latched, repeated in every Sample and Status until cleared."""

    NONE = 0
    DONE = 1
    COMMAND = 2
    FORCE_LIMIT = 3
    TRAVEL_LIMIT = 4
    LIMIT_SWITCH = 5
    EMERGENCY_STOP = 6
    SENSOR_FAULT = 7
    HOST_SILENT = 8
    BREAK_SEEN = 9
    RESET = 10
    MAIN_LOOP_HUNG = 11


#: Reasons that refuse every motion until ClearStop has named them.
LATCHING = frozenset(StopReason) - {StopReason.NONE, StopReason.DONE, StopReason.COMMAND}


class Result(enum.IntEnum):
    """How the board answered a command."""

    OK = 0
    BUSY = 1
    LATCHED = 2
    BAD_VALUE = 3
    AT_LIMIT = 4
    NOT_IDENTIFIED = 5
    UNKNOWN = 6
    WRONG_REASON = 7
    SENSOR_NOT_READY = 8


class EventCode(enum.IntEnum):
    """What an Event tells. Events are news; the state they tell of is also latched in the flags."""

    BOOT = 1
    MOVE_DONE = 2
    STOPPED = 3
    BREAK_SEEN = 4
    FORCE_LIMIT = 5
    TRAVEL_LIMIT = 6
    LIMIT_SWITCH = 7
    EMERGENCY_STOP = 8
    SENSOR_FAULT = 9
    HOST_SILENT = 10
    HOMED = 11


class BoardState(enum.IntEnum):
    """What the board is doing."""

    IDLE = 0
    MOVING = 1
    PULLING = 2
    HOMING = 3
    STOPPING = 4
    LATCHED = 5


class Ability(enum.IntFlag):
    """What the board can do, told in Identity."""

    SIMULATED = 1 << 0
    LIMIT_SWITCHES = 1 << 1
    EMERGENCY_STOP = 1 << 2


#: One sentence a code, by vocabulary: codes of different vocabularies are equal as numbers.
SENTENCES: dict[type[enum.Enum], dict[enum.Enum, str]] = {
    Flag: {
        Flag.MOVING: "the motor is stepping",
        Flag.HOMED: "the step counter counts from the near limit switch",
        Flag.NEAR_LIMIT: "the near limit switch is pressed",
        Flag.FAR_LIMIT: "the far limit switch is pressed",
        Flag.EMERGENCY_STOP: "the emergency stop is pressed",
        Flag.SENSOR_FAULT: "the force amplifier does not deliver readings",
        Flag.SATURATED: "this reading is at the end of the amplifier's range",
        Flag.READINGS_DROPPED: "readings before this one were dropped because the line was full",
    },
    StopReason: {
        StopReason.NONE: "nothing has stopped the motor since the last clear",
        StopReason.DONE: "the motor reached its target",
        StopReason.COMMAND: "the host said stop",
        StopReason.FORCE_LIMIT: "the force limit was reached",
        StopReason.TRAVEL_LIMIT: "the end of the stage's travel was reached",
        StopReason.LIMIT_SWITCH: "a limit switch was pressed",
        StopReason.EMERGENCY_STOP: "the emergency stop was pressed",
        StopReason.SENSOR_FAULT: "the force amplifier stopped delivering readings",
        StopReason.HOST_SILENT: "the host fell silent while the motor ran",
        StopReason.BREAK_SEEN: "the force fell as it does when a strand breaks",
        StopReason.RESET: "the board was reset while the motor ran",
        StopReason.MAIN_LOOP_HUNG: "the board's main loop hung and the step interrupt stopped the motor",
    },
    Result: {
        Result.OK: "accepted",
        Result.BUSY: "refused: the motor is running",
        Result.LATCHED: "refused: a stop reason is latched and must be cleared first",
        Result.BAD_VALUE: "refused: a value is out of its range",
        Result.AT_LIMIT: "refused: a limit switch is pressed in that direction",
        Result.NOT_IDENTIFIED: "refused: the host has not identified itself since the board started",
        Result.UNKNOWN: "refused: the board does not know this message",
        Result.WRONG_REASON: "refused: the latched stop reason is another one",
        Result.SENSOR_NOT_READY: "refused: there are not enough readings yet",
    },
    EventCode: {
        EventCode.BOOT: "the board has started",
        EventCode.MOVE_DONE: "a move has ended at its target",
        EventCode.STOPPED: "a move was ended by a stop command",
        EventCode.BREAK_SEEN: "the strand broke",
        EventCode.FORCE_LIMIT: "the force limit stopped the motor",
        EventCode.TRAVEL_LIMIT: "the end of the travel stopped the motor",
        EventCode.LIMIT_SWITCH: "a limit switch stopped the motor",
        EventCode.EMERGENCY_STOP: "the emergency stop was pressed",
        EventCode.SENSOR_FAULT: "the force amplifier stopped delivering readings",
        EventCode.HOST_SILENT: "the host fell silent and the motor was stopped",
        EventCode.HOMED: "the near limit switch was found and the step counter set to zero",
    },
    BoardState: {
        BoardState.IDLE: "standing still",
        BoardState.MOVING: "moving to a position",
        BoardState.PULLING: "pulling a strand",
        BoardState.HOMING: "looking for the near limit switch",
        BoardState.STOPPING: "slowing down to a stop",
        BoardState.LATCHED: "stopped for a reason that must be cleared",
    },
    Ability: {
        Ability.SIMULATED: "a simulated board",
        Ability.LIMIT_SWITCHES: "limit switches are fitted",
        Ability.EMERGENCY_STOP: "an emergency stop is fitted",
    },
}


def meaning(code: enum.Enum) -> str:
    """What a code means, in words."""
    return SENTENCES[type(code)][code]


def stop_reason(flags: int) -> StopReason:
    """The latched stop reason in a flags word; an unknown code reads as RESET, the most cautious one."""
    code = flags >> STOP_REASON_SHIFT
    try:
        return StopReason(code)
    except ValueError:
        return StopReason.RESET
