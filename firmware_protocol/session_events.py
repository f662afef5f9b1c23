"""What a session tells: frozen values, in the order in which the bytes that led to them came in."""

from __future__ import annotations

from dataclasses import dataclass

from firmware_protocol.errors import BadFrame
from firmware_protocol.messages import Ack, Command, Event, Identity, Sample, Status


@dataclass(frozen=True, slots=True)
class Identified:
    """The board has said who it is, and fits this program."""

    identity: Identity


@dataclass(frozen=True, slots=True)
class WrongRig:
    """The board has said who it is, and can't be worked with: `reason` says why and what to do."""

    reason: str


@dataclass(frozen=True, slots=True)
class Answered:
    """The board has answered `command`; a Query that it took is answered by StatusRead instead."""

    command: Command
    ack: Ack


@dataclass(frozen=True, slots=True)
class StatusRead:
    """The board's state, as asked for."""

    status: Status


@dataclass(frozen=True, slots=True)
class SamplesRead:
    """Samples without a gap between them; `lost` were lost just before the first."""

    samples: tuple[Sample, ...]
    lost: int


@dataclass(frozen=True, slots=True)
class Happened:
    """News from the board; the state it tells of stands in the flags as well."""

    event: Event


@dataclass(frozen=True, slots=True)
class Rebooted:
    """The board, known until now, has restarted: it must be identified anew; position and force zero are gone."""

    identity_before: Identity


@dataclass(frozen=True, slots=True)
class FrameBad:
    """Bytes that broke a rule of the wire."""

    report: BadFrame


@dataclass(frozen=True, slots=True)
class MessageUnknown:
    """A sound message that this program does not know."""

    id: int
    payload: bytes


SessionEvent = (
    Identified | WrongRig | Answered | StatusRead | SamplesRead | Happened | Rebooted | FrameBad | MessageUnknown
)


@dataclass(frozen=True, slots=True)
class Counters:
    """What has come in so far.

    `frames` are the sound ones, `bad_frames` those that were reported, `early_damage` those before the first sound
    one: a port that opens in the middle of a frame, a line at another speed, or no rig at all. `stray_answers`
    answered nothing that was outstanding: late ones, and answers to repeated commands.
    """

    bytes: int = 0
    frames: int = 0
    bad_frames: int = 0
    early_damage: int = 0
    unknown: int = 0
    lost_samples: int = 0
    stray_answers: int = 0
