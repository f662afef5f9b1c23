"""What can go wrong on the wire, and whose fault it is.

    ProtocolError
    ├── HostMistake           this program asked for something the wire does not allow
    └── BadBytes              carries the evidence as a BadFrame
        ├── FirmwareMistake   a frame came whole, and what it holds breaks the rules: the other side's program
        └── DamagedBytes      bytes were lost or altered on the way: cable, speed of the line, something else
                              than a rig at the other end

Streams do not raise for what comes in: they hand out the BadFrame as a value, and reading goes on.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

#: So many bytes of a bad frame are kept as evidence: the longest frame of the table fits, garbage does not.
EVIDENCE_BYTES = 64


class Rule(enum.Enum):
    """A rule of the wire that bytes can break; the value is the rule as a person reads it when it is broken."""

    TOO_LONG = "no delimiter came within the longest frame there can be"
    ZERO_INSIDE = "a zero byte stands inside a frame"
    CODE_PAST_END = "a length code points past the end of the frame"
    TOO_SHORT = "the frame is too short for a message id and a checksum"
    CHECKSUM = "the checksum does not fit"
    WRONG_LENGTH = "the payload has another length than the message table says"
    WRONG_DIRECTION = "the message belongs to the other direction, as when the line echoes"


#: Rules that intact frames break: the fault is in the program that sent them.
FIRMWARE_RULES = frozenset({Rule.WRONG_LENGTH, Rule.WRONG_DIRECTION})


@dataclass(frozen=True, slots=True)
class BadFrame:
    """Evidence of a broken rule: which, where in the stream it began [bytes from its start], and the bytes.

    `data` is what came between two delimiters, or the unstuffed message where the frame itself was sound;
    it is cut after `EVIDENCE_BYTES`.
    """

    rule: Rule
    offset: int
    data: bytes
    note: str = ""

    @property
    def hex(self) -> str:
        """The bytes in hexadecimal, two digits each."""
        return self.data.hex(" ")

    @property
    def finding(self) -> str:
        """The broken rule and the bytes, in words."""
        note = f" ({self.note})" if self.note else ""
        return f"{self.rule.value}{note}: {self.hex}"

    def __str__(self) -> str:
        return f"byte {self.offset}: {self.finding}"


def bad_frame(rule: Rule, offset: int, data: bytes, note: str = "") -> BadFrame:
    """A report with its evidence cut to size."""
    return BadFrame(rule, offset, bytes(data[:EVIDENCE_BYTES]), note)


class ProtocolError(Exception):
    """Anything that goes against the rules of the wire."""


class HostMistake(ProtocolError):
    """This program asked for something the wire does not allow."""


class BadBytes(ProtocolError):
    """Bytes that break a rule, with the evidence in `report`."""

    def __init__(self, report: BadFrame) -> None:
        super().__init__(str(report))
        self.report = report


class FirmwareMistake(BadBytes):
    """A sound frame holds what the message table does not allow."""


class DamagedBytes(BadBytes):
    """Bytes were lost or altered on the way."""
