"""Whether a board fits this program, told from its Identity, even where that has a form this program can't read."""

from __future__ import annotations

from firmware_protocol.codec import table_crc
from firmware_protocol.errors import BadFrame, Rule
from firmware_protocol.messages import Identity
from firmware_protocol.schema import TABLE
from firmware_protocol.vocabulary import PROTOCOL_VERSION

#: In every version of the wire, Identity has this id, and the request id and the protocol version behind it.
IDENTITY_ID = next(spec.id for spec in TABLE.values() if spec.cls is Identity)
HEAD_BYTES = 3


#: What to do about a board of the same version that was built from something else.
REBUILD = "build the firmware that belongs to this program, or update the program"


def why_foreign(identity: Identity) -> str:
    """Why a board can't be worked with, and what to do; "" where it fits."""
    if identity.protocol != PROTOCOL_VERSION:
        return _other_version(identity.protocol)
    if identity.table_crc != table_crc():
        sums = f"checksum {identity.table_crc:04x}, this program's is {table_crc():04x}"
        return f"the rig's firmware was built from another message table ({sums}): {REBUILD}"
    return ""


def why_unreadable(report: BadFrame, request: int) -> str:
    """Why the board is foreign whose answer to the Identify `request` was reported; "" for any other report."""
    head = report.data[:HEAD_BYTES]
    if report.rule is not Rule.WRONG_LENGTH or head[:-1] != bytes((IDENTITY_ID, request)):
        return ""
    if head[-1] != PROTOCOL_VERSION:
        return _other_version(head[-1])
    return f"the rig's firmware describes itself in a form this program does not know: {REBUILD}"


def _other_version(version: int) -> str:
    older = "the rig's firmware" if version < PROTOCOL_VERSION else "this program"
    return f"the rig speaks version {version} of the wire, this program version {PROTOCOL_VERSION}: update {older}"
