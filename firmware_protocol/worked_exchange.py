"""One short conversation, byte by byte, for the wire's document: a board is met, a strand is pulled and breaks.

The rig and its numbers are invented. The host's bytes come from a session, so that they are what is really sent.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from firmware_protocol.codec import encode, render, table_crc
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import (
    Ack,
    ClearStop,
    Command,
    Event,
    FromBoard,
    Heartbeat,
    Identify,
    Identity,
    Pull,
    Sample,
    Stream,
    Zero,
)
from firmware_protocol.schema import Direction
from firmware_protocol.session import Session
from firmware_protocol.vocabulary import (
    PROTOCOL_VERSION,
    STOP_REASON_SHIFT,
    Ability,
    EventCode,
    Flag,
    Result,
    StopReason,
)

_MOVING = Flag.MOVING | Flag.HOMED
_BROKEN = Flag.HOMED | StopReason.BREAK_SEEN << STOP_REASON_SHIFT

_IDENTITY = Identity(
    request=1,
    protocol=PROTOCOL_VERSION,
    table_crc=table_crc(),
    firmware=0x0100,
    boot_count=17,
    board_id=1,
    abilities=Ability.LIMIT_SWITCHES | Ability.EMERGENCY_STOP,
    sensor_bits=24,
    rate_mhz=80_000,
    steps_per_m=800_000,
    travel_steps=80_000,
    max_speed_steps_s=4_000,
    force_range_mn=2_000,
    counts_per_n=1_000_000,
    name="bench",
)

#: Who says what; text stands for what is left out. The host's commands have no request id yet: the session
#: numbers them.
CONVERSATION: tuple[Command | Heartbeat | FromBoard | str, ...] = (
    Identify(0, PROTOCOL_VERSION),
    _IDENTITY,
    Zero(0),
    Ack(2, Result.OK),
    Stream(0, 1),
    Ack(3, Result.OK),
    Sample(40, 5_000_000, 1_250, 1_200, Flag.HOMED),
    Pull(0, 36_000, 240_000, 1_800_000, 60_000),
    Ack(4, Result.OK),
    Sample(41, 5_012_500, 1_262, 1_200, _MOVING),
    Heartbeat(),
    Sample(42, 5_025_000, 1_271, 1_203, _MOVING),
    "3294 samples, and a heartbeat every 100 ms",
    Sample(3_337, 46_212_500, 2_104, 11_088, _MOVING),
    Event(EventCode.BREAK_SEEN, 46_212_500, 2_104, 11_088),
    Sample(3_338, 46_225_000, 1_244, 11_088, _BROKEN),
    ClearStop(0, StopReason.BREAK_SEEN),
    Ack(5, Result.OK),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One frame on the line, and what it says."""

    direction: Direction
    data: bytes
    reading: str


def exchange() -> Iterator[Line | str]:
    """The conversation as it goes over the line."""
    session = Session()
    for message in CONVERSATION:
        if isinstance(message, str):
            yield message
        elif isinstance(message, Heartbeat):
            yield Line(Direction.TO_BOARD, session.heartbeat(), render(message))
        elif isinstance(message, FromBoard):
            data = encode_frame(encode(message))
            session.receive(data)
            yield Line(Direction.TO_HOST, data, render(message))
        else:
            data = session.request(message)
            numbered = session.outstanding or message
            yield Line(Direction.TO_BOARD, data, render(numbered))
