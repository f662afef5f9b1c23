"""The message table: every message of the wire, declared once.

Lengths of travel are in motor steps from the counter's zero, positive in the stretching direction; force is
in raw amplifier counts. The board never converts: newtons and millimetres are the host's business.
Every command carries a request id; a command repeated with the id of the last one answered is answered again
and not carried out again.
"""

from __future__ import annotations

from firmware_protocol.schema import Direction, message, wire
from firmware_protocol.vocabulary import Ability, BoardState, EventCode, Flag, Result, StopReason

TO_BOARD = Direction.TO_BOARD
TO_HOST = Direction.TO_HOST
REQUEST_DOC = "Number of this request; the answer carries it back."
#: The flags word: the low byte is read with Flag, the high byte with StopReason.
FLAGS_WORD = (Flag, StopReason)


@message(0x01, TO_BOARD)
class Identify:
    """Ask the board who it is; must be the first command after either side starts."""

    request: int = wire("u8", REQUEST_DOC)
    host_protocol: int = wire("u8", "Protocol version of the host.")


@message(0x02, TO_BOARD)
class Heartbeat:
    """Tell the board that the host is alive; not answered."""


@message(0x03, TO_BOARD)
class Stop:
    """Slow down and stop; accepted in every state."""

    request: int = wire("u8", REQUEST_DOC)


@message(0x04, TO_BOARD)
class ClearStop:
    """Clear the latched stop reason, by naming it, so that motion is allowed again."""

    request: int = wire("u8", REQUEST_DOC)
    reason: int = wire("u8", "The stop reason that is to be cleared.", codes=(StopReason,))


@message(0x05, TO_BOARD)
class Zero:
    """Take the mean of the last readings as the force zero of the board's own limits; samples stay raw."""

    request: int = wire("u8", REQUEST_DOC)


@message(0x06, TO_BOARD)
class Move:
    """Move to a position, for jogging and returning."""

    request: int = wire("u8", REQUEST_DOC)
    target_steps: int = wire("i32", "Position to move to.", unit="step")
    speed_msteps_s: int = wire("u32", "Speed at constant motion.", unit="0.001 step/s")
    force_limit_counts: int = wire("u32", "Stop when the force is this far from zero.", unit="count")


@message(0x07, TO_BOARD)
class Pull:
    """Stretch a strand: like Move, and stop by itself when the strand breaks."""

    request: int = wire("u8", REQUEST_DOC)
    target_steps: int = wire("i32", "Position at which to give up.", unit="step")
    speed_msteps_s: int = wire("u32", "Speed at constant motion.", unit="0.001 step/s")
    force_limit_counts: int = wire("u32", "Stop when the force is this far from zero.", unit="count")
    break_floor_counts: int = wire(
        "u32", "A break is looked for once the force was above this; 0 for never.", unit="count"
    )


@message(0x08, TO_BOARD)
class Home:
    """Move towards the near limit switch, and make it the zero of the step counter."""

    request: int = wire("u8", REQUEST_DOC)
    speed_msteps_s: int = wire("u32", "Speed at constant motion.", unit="0.001 step/s")


@message(0x09, TO_BOARD)
class Stream:
    """Switch the samples on or off."""

    request: int = wire("u8", REQUEST_DOC)
    on: int = wire("u8", "1 for on, 0 for off.")


@message(0x0A, TO_BOARD)
class Query:
    """Ask for a Status."""

    request: int = wire("u8", REQUEST_DOC)


@message(0x81, TO_HOST)
class Identity:
    """Who the board is and what it can do."""

    request: int = wire("u8", REQUEST_DOC)
    protocol: int = wire("u8", "Protocol version of the board.")
    table_crc: int = wire("u16", "Checksum of the message table the board was built from.")
    firmware: int = wire("u16", "Firmware version, high byte major, low byte minor.")
    boot_count: int = wire("u16", "Changes at every start of the board.")
    board_id: int = wire("u32", "Number of this board.")
    abilities: int = wire("u8", "What the board can do (Ability).", codes=(Ability,))
    sensor_bits: int = wire("u8", "Bits of the force amplifier.", unit="bit")
    rate_mhz: int = wire("u32", "Nominal rate of readings.", unit="mHz")
    steps_per_m: int = wire("u32", "Motor steps per metre of travel.", unit="step/m")
    travel_steps: int = wire("u32", "Usable travel of the stage.", unit="step")
    max_speed_steps_s: int = wire("u32", "Highest speed.", unit="step/s")
    force_range_mn: int = wire("u32", "Force range of the load cell.", unit="mN")
    counts_per_n: int = wire("u32", "Nominal counts per newton, before any calibration.", unit="count/N")
    name: str = wire("text16", "What the rig is called.")


@message(0x82, TO_HOST)
class Ack:
    """The answer to a command."""

    request: int = wire("u8", REQUEST_DOC)
    result: int = wire("u8", "How the command was taken (Result).", codes=(Result,))


@message(0x83, TO_HOST)
class Sample:
    """One reading of the force amplifier with the position at the same moment."""

    seq: int = wire("u16", "Counts up by one a reading; a jump is a loss.")
    t_us: int = wire("u32", "Board time of the reading; wraps.", unit="us")
    counts: int = wire("i32", "Raw reading.", unit="count")
    steps: int = wire("i32", "Step counter at the reading.", unit="step")
    flags: int = wire(
        "u16", "Low byte what is true now (Flag), high byte the latched stop reason.", codes=FLAGS_WORD
    )


@message(0x84, TO_HOST)
class Status:
    """The whole state of the board, in answer to Query."""

    request: int = wire("u8", REQUEST_DOC)
    state: int = wire("u8", "What the board is doing (BoardState).", codes=(BoardState,))
    t_us: int = wire("u32", "Board time.", unit="us")
    counts: int = wire("i32", "Last raw reading.", unit="count")
    steps: int = wire("i32", "Step counter.", unit="step")
    flags: int = wire("u16", "As in Sample.", codes=FLAGS_WORD)
    zero_counts: int = wire("i32", "Force zero of the board's own limits.", unit="count")
    boot_count: int = wire("u16", "As in Identity.")
    dropped: int = wire("u16", "Readings dropped because the line was full.")
    bad_frames: int = wire("u16", "Damaged frames the board has received.")


@message(0x85, TO_HOST)
class Event:
    """Something happened; news only, since the state is latched in the flags as well."""

    code: int = wire("u8", "What happened (EventCode).", codes=(EventCode,))
    t_us: int = wire("u32", "Board time.", unit="us")
    counts: int = wire("i32", "Last raw reading.", unit="count")
    steps: int = wire("i32", "Step counter.", unit="step")


#: A command that is answered, by Ack, Identity or Status.
Command = Identify | Stop | ClearStop | Zero | Move | Pull | Home | Stream | Query
#: What a board sends.
FromBoard = Identity | Ack | Sample | Status | Event
Message = Command | Heartbeat | FromBoard
