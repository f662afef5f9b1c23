"""Many bytes of a board at once, for catching up and for captures: arrays of samples, and all the rest.

Gives exactly what `FrameDecoder` and `codec.read` give for the same bytes, many times faster: a sample's frame
always has one length, so all pieces of that length are unstuffed and checked together, column by column.
Whatever does not come out of that as a sound sample goes through the decoder for single frames. Needs numpy,
which nothing else here does: import this module where it is used.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from firmware_protocol.codec import UnknownMessage, read
from firmware_protocol.errors import BadFrame, Rule, bad_frame
from firmware_protocol.frames import CRC_SIZE, CRC_START, MAX_STUFFED, read_frame
from firmware_protocol.messages import Message, Sample
from firmware_protocol.schema import TABLE, Direction

#: A column: byte number n of every frame.
Column: TypeAlias = NDArray[np.uint8]

_SAMPLE = next(spec for spec in TABLE.values() if spec.cls is Sample)

#: One record a sample, with the fields of the message.
SAMPLE_DTYPE = np.dtype([(field.name, "<" + field.type.struct_code) for field in _SAMPLE.fields])

#: Bytes of a sample between two delimiters: one length code, message id, payload, checksum. All runs are short.
STUFFED_SAMPLE = 1 + 1 + _SAMPLE.size + CRC_SIZE

#: Frames worked on together: their columns fit a processor's cache.
BLOCK_FRAMES = 1 << 15


@dataclass(frozen=True, slots=True)
class Placed:
    """A message and where its frame began [bytes from the start]."""

    offset: int
    message: Message | UnknownMessage


@dataclass(frozen=True, slots=True, eq=False)
class BulkRead:
    """What a buffer held, each kind in the order of the bytes.

    `samples` has the fields of Sample, `sample_offsets` where their frames began [bytes from the start];
    `unfinished` is what came behind the last delimiter.
    """

    samples: NDArray[np.void]
    sample_offsets: NDArray[np.int64]
    others: tuple[Placed, ...]
    bad: tuple[BadFrame, ...]
    unfinished: bytes


def read_bulk(data: bytes) -> BulkRead:
    """All that a board said in `data`, which begins where a frame begins or in the rest of one."""
    buffer = np.frombuffer(data, dtype=np.uint8)
    ends = np.flatnonzero(buffer == 0)
    starts = np.concatenate(([0], ends + 1))
    lengths = ends - starts[:-1]
    candidates = np.flatnonzero(lengths == STUFFED_SAMPLE)
    samples, sound = _sound_samples(buffer, starts[candidates])
    rest = lengths > 0
    rest[candidates[sound]] = False
    others, bad = _one_by_one(data, starts[:-1][rest], ends[rest])
    tail = data[starts[-1] :]
    if len(tail) > MAX_STUFFED:
        bad.append(bad_frame(Rule.TOO_LONG, int(starts[-1]), tail))
        tail = b""
    return BulkRead(samples, starts[candidates[sound]], tuple(others), tuple(bad), tail)


def _one_by_one(
    data: bytes, starts: NDArray[np.int64], ends: NDArray[np.int64]
) -> tuple[list[Placed], list[BadFrame]]:
    others: list[Placed] = []
    bad: list[BadFrame] = []
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        came = read(read_frame(data[start:end], start), Direction.TO_HOST)
        if isinstance(came, BadFrame):
            bad.append(came)
        else:
            others.append(Placed(start, came))
    return others, bad


def _sound_samples(buffer: Column, starts: NDArray[np.int64]) -> tuple[NDArray[np.void], NDArray[np.bool_]]:
    """The samples among the pieces at `starts`, each as long as a sample's frame, and which pieces they were."""
    sound = np.zeros(len(starts), dtype=np.bool_)
    found = [np.empty(0, dtype=SAMPLE_DTYPE)]
    for first in range(0, len(starts), BLOCK_FRAMES):
        block = slice(first, first + BLOCK_FRAMES)
        pieces = np.lib.stride_tricks.sliding_window_view(buffer, STUFFED_SAMPLE)[starts[block]]
        raw, sound[block] = _unstuffed(np.ascontiguousarray(pieces.T))
        sound[block] &= (_checksums(raw) == 0) & (raw[0] == _SAMPLE.id)
        payloads = np.ascontiguousarray(raw[1:-CRC_SIZE, sound[block]].T)
        found.append(payloads.view(SAMPLE_DTYPE)[:, 0])
    return np.concatenate(found), sound


def _unstuffed(columns: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Undo the byte stuffing of frames that stand side by side, one a column of pieces; and which had sound codes.

    Goes from byte to byte, knowing for each frame where its next length code stands: there a zero is meant. A code
    that points past the end stays there, or in 8 bits comes round to a place already passed: neither is the end.
    """
    size = len(columns)
    next_code = columns[0].copy()
    raw = columns[1:]
    for at in range(1, size):
        is_code = next_code == at
        next_code += columns[at] * is_code
        raw[at - 1] *= ~is_code
    return raw, next_code == size


def _checksums(raw: NDArray[np.uint8]) -> NDArray[np.uint16]:
    """CRC-16/IBM-3740 of frames that stand side by side; zero where a frame ends with its own checksum.

    Byte by byte without a table: with polynomial 1021, the eight shifts of a byte come down to three of it.
    """
    crc = np.full(raw.shape[1], CRC_START, dtype=np.uint16)
    for byte in raw:
        top = (crc >> 8) ^ byte
        top ^= top >> 4
        crc <<= 8
        crc ^= (top << 12) ^ (top << 5) ^ top
    return crc
