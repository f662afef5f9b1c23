"""Lines to read from captures, good and bad."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from firmware_protocol.dump import CHUNK_BYTES, dump_lines
from firmware_protocol.frames import MAX_STUFFED, encode_frame
from firmware_protocol.messages import Ack, Sample, Stop
from tests.firmware_protocol.streams import flipped, some_messages, wire


def test_a_capture_of_everything() -> None:
    damaged = bytearray(wire(Ack(1, 0)))
    damaged[2] ^= 0x40
    data = (
        wire(Stop(1))
        + wire(Sample(1, 1000, -5, 8, 0))
        + bytes(damaged)
        + wire(Sample(4, 4000, -5, 8, 0))
        + encode_frame(b"\x82\x01")
        + encode_frame(b"\x90ab")
        + b"half"
    )
    assert list(dump_lines(data)) == [
        "         0  Stop request=1",
        "         6  Sample seq=1, t_us=1000 us, counts=-5 count, steps=8 step, flags=- / NONE",
        "        27  DAMAGED: the checksum does not fit (it says aa97, should be a75b): 03 82 41 03 aa 97",
        "            2 samples missing here",
        "        34  Sample seq=4, t_us=4000 us, counts=-5 count, steps=8 step, flags=- / NONE",
        "        55  AGAINST THE RULES: the payload has another length than the message table says"
        " (Ack has 2 bytes, this one 1): 82 01",
        "        61  unknown message 0x90: 61 62",
        "        68  the last 4 bytes, with no delimiter behind them: 68 61 6c 66",
    ]


@settings(derandomize=True, deadline=None)
@given(st.binary(max_size=300))
def test_every_line_is_printable_whatever_the_bytes(data: bytes) -> None:
    assert all(line.isprintable() for line in dump_lines(data + encode_frame(b"\x81" + data[:54])))


def test_long_captures_and_endless_garbage() -> None:
    messages = some_messages(2 * CHUNK_BYTES // 20, seed=1)
    data = b"".join(map(wire, messages))
    assert sum(1 for _ in dump_lines(data)) == len(messages)
    assert any("DAMAGED" in line for line in dump_lines(flipped(data[:40_000], 0.01, seed=1)))
    [line] = dump_lines(b"\x01" * (3 * MAX_STUFFED))
    assert "no delimiter came" in line


def test_no_bytes_no_lines() -> None:
    assert list(dump_lines(b"")) == []
    assert list(dump_lines(b"\0\0\0")) == []
