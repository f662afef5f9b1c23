"""Byte streams with a known truth, and the ways of dealing them out that every reader must stand."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Any

from hypothesis import strategies as st

from firmware_protocol.codec import encode, value_range
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import Ack, Event, FromBoard, Sample
from firmware_protocol.schema import TABLE, TEXT16, Direction, MessageSpec

Dealer = Callable[[bytes], Iterator[bytes]]


def whole(data: bytes) -> Iterator[bytes]:
    yield data


def bytewise(data: bytes) -> Iterator[bytes]:
    for at in range(len(data)):
        yield data[at : at + 1]


def in_sevens(data: bytes) -> Iterator[bytes]:
    for at in range(0, len(data), 7):
        yield data[at : at + 7]


def haphazardly(data: bytes) -> Iterator[bytes]:
    dice = random.Random(4)
    at = 0
    while at < len(data):
        step = dice.choice((0, 1, 2, 19, 20, 21, 22, 300))
        yield data[at : at + step]
        at += step


DEALERS: tuple[Dealer, ...] = (whole, bytewise, in_sevens, haphazardly)


def wire(message: Any) -> bytes:
    return encode_frame(encode(message))


def some_messages(samples: int, seed: int, others: float = 0.03) -> list[FromBoard]:
    """What a board might say: samples, and so many answers and events for each of them."""
    dice = random.Random(seed)
    said: list[FromBoard] = []
    for seq in range(samples):
        said.append(
            Sample(seq & 0xFFFF, seq * 1000, dice.randrange(-(2**23), 2**23), seq * 3, dice.choice((0, 1, 3)))
        )
        if dice.random() < others * 2 / 3:
            said.append(Ack(dice.randrange(256), 0))
        if dice.random() < others / 3:
            said.append(Event(dice.randrange(1, 12), seq * 1000, -5, seq * 3))
    return said


def flipped(data: bytes, chance: float, seed: int) -> bytes:
    """`data` with one bit turned over in each byte, with a `chance` for every byte."""
    dice = random.Random(seed)
    damaged = bytearray(data)
    for at in range(len(damaged)):
        if dice.random() < chance:
            damaged[at] ^= 1 << dice.randrange(8)
    return bytes(damaged)


def messages_of(spec: MessageSpec) -> st.SearchStrategy[Any]:
    """Every message of one kind that can be sent."""
    values = {}
    for field in spec.fields:
        if field.type.name == TEXT16:
            printable = st.characters(exclude_categories=("C", "Z"))
            values[field.name] = st.text(printable, max_size=16).filter(lambda t: len(t.encode()) <= 16)
        else:
            values[field.name] = st.integers(*value_range(field))
    return st.builds(spec.cls, **values)


ANY_MESSAGE = st.one_of([messages_of(spec) for spec in TABLE.values()])
FROM_BOARD = st.one_of([messages_of(spec) for spec in TABLE.values() if spec.direction is Direction.TO_HOST])
