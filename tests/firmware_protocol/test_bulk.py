"""The bulk decoder must give exactly what the decoder for single frames gives, whatever the bytes are."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware_protocol.bulk import BLOCK_FRAMES, SAMPLE_DTYPE, STUFFED_SAMPLE, read_bulk
from firmware_protocol.codec import UnknownMessage, read
from firmware_protocol.errors import BadFrame
from firmware_protocol.frames import MAX_STUFFED, FrameDecoder, encode_frame
from firmware_protocol.messages import Message, Sample
from firmware_protocol.schema import Direction
from tests.firmware_protocol.streams import ANY_MESSAGE, FROM_BOARD, flipped, some_messages, wire

Came = tuple[int, Message | UnknownMessage | BadFrame]


def one_by_one(data: bytes) -> tuple[list[Came], bytes]:
    decoder = FrameDecoder()
    found = decoder.feed(data)
    return [(f.offset, read(f, Direction.TO_HOST)) for f in found], decoder.unfinished


def in_bulk(data: bytes) -> tuple[list[Came], bytes]:
    """What the bulk decoder gives, put back into one order; each kind must be in order already."""
    bulk = read_bulk(data)
    assert bulk.samples.dtype == SAMPLE_DTYPE
    offsets = bulk.sample_offsets.tolist()
    samples: list[Came] = [(at, Sample(*row)) for at, row in zip(offsets, bulk.samples.tolist(), strict=True)]
    others: list[Came] = [(placed.offset, placed.message) for placed in bulk.others]
    bad: list[Came] = [(report.offset, report) for report in bulk.bad]
    for kind in (samples, others, bad):
        assert kind == sorted(kind, key=lambda came: came[0])
    return sorted(samples + others + bad, key=lambda came: came[0]), bulk.unfinished


def assert_equal(data: bytes) -> list[Came]:
    came = in_bulk(data)
    assert came == one_by_one(data)
    return came[0]


NONZERO = st.integers(1, 255)
#: As long as a sample, whatever the message id.
SAMPLE_BODY = STUFFED_SAMPLE - 3
PIECES = st.one_of(
    FROM_BOARD.map(wire),
    ANY_MESSAGE.map(wire),
    st.binary(min_size=1, max_size=80).map(encode_frame),
    st.binary(min_size=SAMPLE_BODY, max_size=SAMPLE_BODY).map(encode_frame),
    st.binary(max_size=60),
    st.just(b"\0"),
    st.lists(NONZERO, min_size=STUFFED_SAMPLE, max_size=STUFFED_SAMPLE).map(lambda b: bytes(b) + b"\0"),
    st.integers(MAX_STUFFED - 2, MAX_STUFFED + 2).map(lambda n: b"\x03" * n),
)


@settings(derandomize=True, deadline=None, max_examples=400)
@given(st.lists(PIECES, max_size=12).map(b"".join))
def test_equal_on_any_mixture(data: bytes) -> None:
    assert_equal(data)


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.lists(FROM_BOARD.map(wire), max_size=10).map(b"".join), st.data())
def test_equal_on_damage_and_cuts(data: bytes, draw: st.DataObject) -> None:
    damaged = bytearray(data)
    for _ in range(draw.draw(st.integers(0, 6))):
        if damaged:
            damaged[draw.draw(st.integers(0, len(damaged) - 1))] = draw.draw(st.integers(0, 255))
    first = draw.draw(st.integers(0, len(damaged)))
    last = draw.draw(st.integers(first, len(damaged)))
    assert_equal(bytes(damaged[first:last]))


@settings(derandomize=True, deadline=None, max_examples=300)
@given(st.binary(max_size=500))
def test_equal_on_random_bytes(data: bytes) -> None:
    assert_equal(data)


@pytest.mark.parametrize("chance", [0.0, 0.0005, 0.005, 0.1])
def test_equal_on_long_streams(chance: float) -> None:
    data = b"".join(map(wire, some_messages(5000, seed=3)))
    came = assert_equal(flipped(data, chance, seed=5))
    true = {wire(message) for message in some_messages(5000, seed=3)}
    messages = [m for _, m in came if not isinstance(m, BadFrame | UnknownMessage)]
    assert {wire(m) for m in messages} <= true
    assert len(messages) > (4900 if chance < 0.001 else 500)


def test_equal_where_a_block_ends() -> None:
    one = wire(Sample(1, 2, 3, 4, 5))
    for count in (BLOCK_FRAMES - 1, BLOCK_FRAMES, BLOCK_FRAMES + 1):
        bulk = read_bulk(one * count)
        assert len(bulk.samples) == count
        assert bulk.sample_offsets[-1] == (count - 1) * len(one)
        assert set(bulk.samples.tolist()) == {(1, 2, 3, 4, 5)}


def test_equal_on_frames_that_differ_from_a_sample_in_one_byte() -> None:
    one = wire(Sample(0x0100, 0x00FF00FF, -1, 0, 0x0801))
    dice = random.Random(2)
    variants = []
    for at in range(len(one)):
        for value in (0, 1, 19, 20, 21, 255, dice.randrange(256)):
            variants.append(one[:at] + bytes((value,)) + one[at + 1 :])
    came = assert_equal(b"\0".join(variants))
    assert any(isinstance(m, Sample) for _, m in came)
    assert any(isinstance(m, BadFrame) for _, m in came)


def test_a_message_as_long_as_a_sample_is_not_taken_for_one() -> None:
    sample = wire(Sample(1, 2, 3, 4, 5))
    other = encode_frame(b"\x99" + bytes(range(16)))
    assert len(other) == len(sample)
    came = assert_equal(sample + other + sample)
    assert came[1] == (len(sample), UnknownMessage(0x99, bytes(range(16))))


@pytest.mark.parametrize("length", [MAX_STUFFED - 1, MAX_STUFFED, MAX_STUFFED + 1, 3 * MAX_STUFFED])
def test_equal_on_a_long_rest_without_a_delimiter(length: int) -> None:
    came = assert_equal(wire(Sample(1, 2, 3, 4, 5)) + b"\x04" * length)
    assert len(came) == 1 + (length > MAX_STUFFED)


def test_fields_are_columns() -> None:
    data = b"".join(wire(Sample(n, 10 * n, -n, 2 * n, 1)) for n in range(100))
    samples = read_bulk(data).samples
    assert np.array_equal(samples["counts"], -np.arange(100))
    assert np.array_equal(samples["t_us"], 10 * np.arange(100))


def test_nothing_gives_nothing() -> None:
    bulk = read_bulk(b"")
    assert (len(bulk.samples), bulk.others, bulk.bad, bulk.unfinished) == (0, (), (), b"")
