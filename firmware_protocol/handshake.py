"""Whether a board fits this program, told from its Identity, even where that has a form this program can't read."""

from __future__ import annotations

from firmware_protocol.codec import table_crc
from firmware_protocol.messages import Identity
from firmware_protocol.schema import TABLE
from firmware_protocol.vocabulary import PROTOCOL_VERSION

#: In every version of the wire, Identity has this id and begins with the request id and the protocol version.
IDENTITY_ID = next(spec.id for spec in TABLE.values() if spec.cls is Identity)
REQUEST_AT, PROTOCOL_AT = 0, 1


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


def why_unreadable(payload: bytes, request: int) -> str:
    """Why an Identity of the wrong length is foreign; "" where it does not answer `request`."""
    if len(payload) <= PROTOCOL_AT or payload[REQUEST_AT] != request:
        return ""
    if payload[PROTOCOL_AT] != PROTOCOL_VERSION:
        return _other_version(payload[PROTOCOL_AT])
    return f"the rig's firmware describes itself in a form this program does not know: {REBUILD}"


def _other_version(version: int) -> str:
    older = "the rig's firmware" if version < PROTOCOL_VERSION else "this program"
    return f"the rig speaks version {version} of the wire, this program version {PROTOCOL_VERSION}: update {older}"
