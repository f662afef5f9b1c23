"""Bytes of the line <-> frames: where a frame begins and ends, and whether it came through unharmed.

    frame   = COBS(message id, payload, checksum) 00
    COBS    = consistent overhead byte stuffing: no zero byte remains inside (Cheshire & Baker,
              IEEE/ACM Transactions on Networking 7(2), 1999)
    checksum = CRC-16/IBM-3740 over message id and payload, high byte first

A zero byte always ends a frame, so a reader that has lost its way is back on it at the next zero. Nothing
between two zeros is no frame and no error: a sender may put zeros before a frame to flush what was left of a
damaged one. This module knows no messages.
"""

from __future__ import annotations

from binascii import crc_hqx
from dataclasses import dataclass

from firmware_protocol.errors import BadFrame, DamagedBytes, HostMistake, Rule, bad_frame

__all__ = ["BadFrame", "Frame", "FrameDecoder", "cobs_decode", "cobs_encode", "crc16", "encode_frame", "read_frame"]

#: Ends every frame and stands nowhere inside one.
DELIMITER = b"\0"

#: Bytes that one length code can stand for, without a zero behind them.
COBS_FULL_RUN = 254
#: The code of a full run: no zero is meant behind it.
COBS_FULL_CODE = COBS_FULL_RUN + 1

#: CRC-16/IBM-3740 as the CRC catalogue names it: polynomial 1021, start FFFF, nothing reflected or inverted.
CRC_START = 0xFFFF
CRC_SIZE = 2

#: Bytes of a frame, stuffed and without its delimiter, beyond which a reader gives up on it. Far more than any
#: message needs: it bounds what garbage without a zero byte can make a reader keep.
MAX_STUFFED = 2048
#: Message id and payload that surely fit: one byte of stuffing a full run, one more, and the checksum.
MAX_BODY = MAX_STUFFED - CRC_SIZE - MAX_STUFFED // COBS_FULL_RUN - 1


@dataclass(frozen=True, slots=True)
class Frame:
    """A frame that came through: where it began in the stream [bytes from its start], message id and payload."""

    offset: int
    body: bytes

    @property
    def id(self) -> int:
        """The message id."""
        return self.body[0]

    @property
    def payload(self) -> bytes:
        """What stands behind the message id."""
        return self.body[1:]


def crc16(data: bytes) -> int:
    """CRC-16/IBM-3740 of `data`."""
    return crc_hqx(data, CRC_START)


def encode_frame(body: bytes) -> bytes:
    """The frame of a message id and its payload, delimiter included.

    Raises HostMistake where there is no message id or the frame would be longer than readers take.
    """
    if not 1 <= len(body) <= MAX_BODY:
        raise HostMistake(f"a frame holds 1 to {MAX_BODY} bytes, not {len(body)}")
    return cobs_encode(body + crc16(body).to_bytes(CRC_SIZE, "big")) + DELIMITER


def cobs_encode(raw: bytes) -> bytes:
    """`raw` without zero bytes, in the shortest form: a full run at the very end gets no code behind it."""
    out = bytearray()
    runs = raw.split(DELIMITER)
    for number, run in enumerate(runs, start=1):
        start = 0
        while len(run) - start >= COBS_FULL_RUN:
            out.append(COBS_FULL_CODE)
            out += run[start : start + COBS_FULL_RUN]
            start += COBS_FULL_RUN
        if start < len(run) or start == 0 or number < len(runs):
            out.append(len(run) - start + 1)
            out += run[start:]
    return bytes(out)


def cobs_decode(stuffed: bytes) -> bytes:
    """Undo `cobs_encode`; a code 01 behind a full run at the end is taken too, as some senders write it.

    Raises DamagedBytes.
    """
    if DELIMITER in stuffed:
        raise DamagedBytes(bad_frame(Rule.ZERO_INSIDE, 0, stuffed))
    raw = _unstuffed(stuffed)
    if raw is None:
        raise DamagedBytes(bad_frame(Rule.CODE_PAST_END, 0, stuffed))
    return raw


def _unstuffed(stuffed: bytes) -> bytes | None:
    """The bytes behind the stuffing; None where a code points past the end. `stuffed` has no zero byte."""
    raw = bytearray()
    at = 0
    end = len(stuffed)
    while at < end:
        code = stuffed[at]
        stop = at + code
        if stop > end:
            return None
        raw += stuffed[at + 1 : stop]
        if code != COBS_FULL_CODE and stop < end:
            raw.append(0)
        at = stop
    return bytes(raw)


def read_frame(stuffed: bytes, offset: int) -> Frame | BadFrame:
    """The frame in the bytes between two delimiters, the first of them at `offset` of the stream."""
    if len(stuffed) > MAX_STUFFED:
        return bad_frame(Rule.TOO_LONG, offset, stuffed)
    raw = _unstuffed(stuffed)
    if raw is None:
        return bad_frame(Rule.CODE_PAST_END, offset, stuffed)
    if len(raw) <= CRC_SIZE:
        return bad_frame(Rule.TOO_SHORT, offset, stuffed)
    if crc_hqx(raw, CRC_START):  # the sum over data and its own checksum is zero
        said, right = int.from_bytes(raw[-CRC_SIZE:], "big"), crc16(raw[:-CRC_SIZE])
        return bad_frame(Rule.CHECKSUM, offset, stuffed, f"it says {said:04x}, should be {right:04x}")
    return Frame(offset, raw[:-CRC_SIZE])


class FrameDecoder:
    """Cuts a stream into frames, however its bytes are dealt out, keeping at most `MAX_STUFFED` of them."""

    def __init__(self) -> None:
        self._tail = bytearray()
        self._offset = 0
        self._skipping = False

    @property
    def unfinished(self) -> bytes:
        """What has come since the last delimiter."""
        return bytes(self._tail)

    def feed(self, data: bytes) -> list[Frame | BadFrame]:
        """Take the next bytes of the stream; give the frames that are complete now, good and bad, in order."""
        *ended, rest = data.split(DELIMITER)
        found: list[Frame | BadFrame] = []
        for piece in ended:
            stuffed = bytes(self._tail) + piece if self._tail else piece
            if stuffed and not self._skipping:
                found.append(read_frame(stuffed, self._offset))
            self._offset += len(stuffed) + 1
            self._tail.clear()
            self._skipping = False
        self._tail += rest
        if len(self._tail) > MAX_STUFFED:
            self._give_up(found)
        return found

    def _give_up(self, found: list[Frame | BadFrame]) -> None:
        """Too much has come without a delimiter: report it once, and keep none of it until the next one."""
        if not self._skipping:
            found.append(read_frame(bytes(self._tail), self._offset))
        self._skipping = True
        self._offset += len(self._tail)
        self._tail.clear()
