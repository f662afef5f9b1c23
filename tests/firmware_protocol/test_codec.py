"""Messages to bytes and back for the whole table; what does not fit; and the line a person reads."""

from __future__ import annotations

import struct
from typing import Any

import pytest
from crccheck.crc import Crc16Ibm3740
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware_protocol.codec import (
    UnknownMessage,
    decode,
    encode,
    named,
    printable,
    read,
    render,
    table_crc,
    value_range,
    with_unit,
)
from firmware_protocol.errors import BadFrame, FirmwareMistake, HostMistake, Rule
from firmware_protocol.frames import Frame
from firmware_protocol.messages import Ack, Event, Heartbeat, Identity, Pull, Sample, Status, Stop
from firmware_protocol.schema import TABLE, TEXT16, Direction, table_text
from firmware_protocol.vocabulary import Flag, Result, StopReason
from tests.firmware_protocol.streams import ANY_MESSAGE

IDENTITY = Identity(1, 1, 2, 0x0102, 4, 5, 3, 24, 80_000, 800_000, 80_000, 8_000, 1_000, 2_000_000, "bench rig")


@settings(derandomize=True, deadline=None, max_examples=400)
@given(ANY_MESSAGE)
def test_every_message_comes_back_as_it_was(message: Any) -> None:
    assert decode(Frame(0, encode(message))) == message


@pytest.mark.parametrize("spec", TABLE.values(), ids=lambda s: s.name)
def test_every_field_carries_its_lowest_and_highest_value_and_refuses_the_next(spec: Any) -> None:
    numbers = [field for field in spec.fields if field.type.name != TEXT16]
    texts = {field.name: "" for field in spec.fields if field.type.name == TEXT16}
    zeros = {field.name: 0 for field in numbers} | texts
    for field in numbers:
        low, high = value_range(field)
        for value in (low, high):
            message = spec.cls(**zeros | {field.name: value})
            assert decode(Frame(0, encode(message))) == message
        for value in (low - 1, high + 1, 0.5, None):
            with pytest.raises(HostMistake, match=rf"{spec.name}\.{field.name} is "):
                encode(spec.cls(**zeros | {field.name: value}))


def test_the_bytes_are_little_endian_in_the_order_of_the_table() -> None:
    body = encode(Sample(0x0102, 0x03040506, -2, 0x0708090A, 0x0B0C))
    assert body.hex() == "83020106050403feffffff0a0908070c0b"


@pytest.mark.parametrize("spec", TABLE.values(), ids=lambda s: s.name)
def test_a_payload_of_another_length_is_the_firmwares_mistake(spec: Any) -> None:
    for length in {0, spec.size - 1, spec.size + 1, spec.size + 200} - {-1, spec.size}:
        frame = Frame(1234, bytes((spec.id,)) + b"\x55" * length)
        with pytest.raises(FirmwareMistake) as caught:
            decode(frame)
        report = caught.value.report
        assert (report.rule, report.offset) == (Rule.WRONG_LENGTH, 1234)
        assert report.hex == frame.body[:64].hex(" ")
        assert report.note == f"{spec.name} has {spec.size} bytes, this one {length}"
        assert read(frame) == report


def test_a_message_of_the_other_direction_is_a_mistake_where_one_direction_is_expected() -> None:
    frame = Frame(5, encode(Stop(1)))
    assert decode(frame) == decode(frame, Direction.TO_BOARD) == Stop(1)
    report = read(frame, Direction.TO_HOST)
    assert isinstance(report, BadFrame)
    assert report.rule is Rule.WRONG_DIRECTION


@given(st.binary(max_size=100))
def test_unknown_messages_are_kept_as_data(payload: bytes) -> None:
    assert decode(Frame(0, b"\x7f" + payload)) == UnknownMessage(0x7F, payload)


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("", ""),
        ("sixteen letters!", "sixteen letters!"),
        ("seventeen letters", "seventeen letter"),
        ("äöüäöüäö", "äöüäöüäö"),
        ("xäöüäöüäöü", "xäöüäöüä"),
        ("x€€€€€€", "x€€€€€"),
    ],
)
def test_text_is_cut_at_a_character(name: str, kept: str) -> None:
    message = Identity(1, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, name)
    back = decode(Frame(0, encode(message)))
    assert isinstance(back, Identity)
    assert back.name == kept


@pytest.mark.parametrize("name", ["tab\t", "nul\0", "esc\x1b[2J", "line\n", "\u202eleft", "\ud800"])
def test_text_that_cannot_be_printed_is_not_sent(name: str) -> None:
    with pytest.raises(HostMistake, match="name"):
        encode(Identity(1, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, name))


@settings(derandomize=True, deadline=None)
@given(st.binary(min_size=16, max_size=16))
def test_whatever_a_board_sends_as_text_is_printable(raw: bytes) -> None:
    message = decode(Frame(0, encode(IDENTITY)[:-16] + raw))
    assert isinstance(message, Identity)
    assert message.name.isprintable()
    assert render(message).isprintable()


def test_text_ends_at_its_first_zero() -> None:
    message = decode(Frame(0, encode(IDENTITY)[:-16] + b"rig\0rubbish\xff\xff\xff\xff\xff"))
    assert isinstance(message, Identity)
    assert message.name == "rig"


def test_escape_codes_become_replacement_characters() -> None:
    assert printable("a\x1b[31m\u009b\r\nb") == "a\ufffd[31m\ufffd\ufffd\ufffdb"


def test_lines_to_read() -> None:
    flags = Flag.MOVING | Flag.HOMED | StopReason.HOST_SILENT << 8
    assert render(Sample(7, 1000, -42, 300, flags)) == (
        "Sample seq=7, t_us=1000 us, counts=-42 count, steps=300 step, flags=MOVING+HOMED / HOST_SILENT"
    )
    assert render(Ack(3, Result.LATCHED)) == "Ack request=3, result=LATCHED"
    assert render(Event(99, 1, 2, 3)).startswith("Event code=EventCode 99, ")
    assert render(Heartbeat()) == "Heartbeat"
    assert "speed_msteps_s=4000123 (4000.123 step/s)" in render(Pull(1, 2, 4_000_123, 3, 4))
    assert render(UnknownMessage(0x99, b"\x01\x1b")) == "unknown message 0x99: 01 1b"
    assert render(UnknownMessage(0x99, b"")) == "unknown message 0x99: no payload"
    assert "abilities=SIMULATED+LIMIT_SWITCHES" in render(IDENTITY)
    assert render(IDENTITY).endswith('name="bench rig"')


@settings(derandomize=True, deadline=None)
@given(ANY_MESSAGE)
def test_every_line_is_one_printable_line(message: Any) -> None:
    line = render(message)
    assert line.isprintable()
    assert line.split()[0] == type(message).__name__


def test_codes_and_units_by_name() -> None:
    assert named(Flag, 0) == "-"
    assert named(StopReason, 200) == "StopReason 200"
    assert with_unit(5, "") == "5"
    assert with_unit(-1, "0.001 step/s") == "-1 (-0.001 step/s)"
    assert "flags=- / NONE" in render(Status(1, 0, 0, 0, 0, 0, 0, 0, 0, 0))


def test_the_tables_checksum_depends_on_what_the_bytes_mean_and_on_nothing_else() -> None:
    text = table_text()
    assert table_crc() == Crc16Ibm3740.calc(text.encode())
    assert "83 TO_HOST Sample seq:u16:,t_us:u32:us,counts:i32:count,steps:i32:step,flags:u16:\n" in text
    assert "codes Result OK=0,BUSY=1," in text
    assert not any(spec.doc in text for spec in TABLE.values())


def test_the_table_has_one_size_for_struct_and_for_us() -> None:
    for spec in TABLE.values():
        assert spec.size == struct.calcsize(spec.struct_format) == sum(f.type.size for f in spec.fields)
