"""Frames against the published COBS examples, the CRC catalogue, two independent libraries, and bad lines."""

from __future__ import annotations

import random
import sys

import pytest
from cobs import cobs
from crccheck.crc import Crc16Ibm3740
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware_protocol.errors import EVIDENCE_BYTES, BadFrame, DamagedBytes, HostMistake, Rule
from firmware_protocol.frames import (
    MAX_BODY,
    MAX_STUFFED,
    Frame,
    FrameDecoder,
    cobs_decode,
    cobs_encode,
    crc16,
    encode_frame,
    read_frame,
)
from tests.firmware_protocol.streams import DEALERS, Dealer, flipped, some_messages, wire


def counting(first: int, last: int) -> str:
    return bytes(range(first, last + 1)).hex()


# Cheshire & Baker, "Consistent overhead byte stuffing", IEEE/ACM Trans. Networking 7(2), 1999, and the table
# of encoding examples in Wikipedia's article on it. The rows 00 11 00, the three with 255 bytes and the IP
# header of the paper are from memory, held against the `cobs` library.
COBS_EXAMPLES = [
    ("", "01"),
    ("00", "0101"),
    ("0000", "010101"),
    ("001100", "01021101"),
    ("11220033", "0311220233"),
    ("11223344", "0511223344"),
    ("11000000", "0211010101"),
    (counting(1, 0xFE), "ff" + counting(1, 0xFE)),
    ("00" + counting(1, 0xFE), "01ff" + counting(1, 0xFE)),
    (counting(1, 0xFF), "ff" + counting(1, 0xFE) + "02ff"),
    (counting(2, 0xFF) + "00", "ff" + counting(2, 0xFF) + "0101"),
    (counting(3, 0xFF) + "0001", "fe" + counting(3, 0xFF) + "0201"),
    ("4500002c4c79000040064f37", "024501042c4c79010540064f37"),
]


@pytest.mark.parametrize(("raw", "stuffed"), COBS_EXAMPLES)
def test_published_examples_of_stuffing(raw: str, stuffed: str) -> None:
    assert cobs_encode(bytes.fromhex(raw)).hex() == stuffed
    assert cobs_decode(bytes.fromhex(stuffed)).hex() == raw


def test_a_full_run_is_taken_with_and_without_a_code_behind_it() -> None:
    run = bytes(range(1, 255))
    assert cobs_decode(b"\xff" + run) == run
    assert cobs_decode(b"\xff" + run + b"\x01") == run


@pytest.mark.parametrize(
    ("stuffed", "rule"),
    [
        ("00", Rule.ZERO_INSIDE),
        ("0500", Rule.ZERO_INSIDE),
        ("031100", Rule.ZERO_INSIDE),
        ("05112233", Rule.CODE_PAST_END),
        ("ff01", Rule.CODE_PAST_END),
    ],
)
def test_stuffing_that_cannot_be_is_refused(stuffed: str, rule: Rule) -> None:
    with pytest.raises(DamagedBytes) as caught:
        cobs_decode(bytes.fromhex(stuffed))
    assert caught.value.report.rule is rule
    with pytest.raises(cobs.DecodeError):
        cobs.decode(bytes.fromhex(stuffed))


@settings(derandomize=True, deadline=None, max_examples=300)
@given(length=st.integers(0, 1100), zeros=st.sampled_from([0.0, 0.003, 0.1, 0.9]), seed=st.integers(0, 999))
def test_stuffing_agrees_with_an_independent_library(length: int, zeros: float, seed: int) -> None:
    dice = random.Random(seed)
    raw = bytes(0 if dice.random() < zeros else dice.randrange(1, 256) for _ in range(length))
    stuffed = cobs_encode(raw)
    assert stuffed == cobs.encode(raw)
    assert 0 not in stuffed
    assert length + 1 <= len(stuffed) <= length + 1 + max(0, length - 1) // 254
    assert cobs_decode(stuffed) == raw


@settings(derandomize=True, deadline=None, max_examples=500)
@given(st.binary(min_size=1, max_size=600))
def test_unstuffing_agrees_with_an_independent_library_on_any_bytes(stuffed: bytes) -> None:
    try:
        expected = cobs.decode(stuffed)
    except cobs.DecodeError:
        with pytest.raises(DamagedBytes):
            cobs_decode(stuffed)
    else:
        assert cobs_decode(stuffed) == expected


def test_checksum_has_the_check_value_of_the_crc_catalogue() -> None:
    # CRC catalogue (reveng), CRC-16/IBM-3740: check=0x29b1; init=0xffff is the sum over nothing.
    assert crc16(b"123456789") == 0x29B1
    assert crc16(b"") == 0xFFFF


@settings(derandomize=True, deadline=None)
@given(st.binary(max_size=1100))
def test_checksum_agrees_with_an_independent_library(data: bytes) -> None:
    assert crc16(data) == Crc16Ibm3740.calc(data)
    assert crc16(data + crc16(data).to_bytes(2, "big")) == 0


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.binary(min_size=1, max_size=1100))
def test_a_frame_is_what_independent_libraries_make_of_it(body: bytes) -> None:
    data = encode_frame(body)
    assert data == cobs.encode(body + Crc16Ibm3740.calc(body).to_bytes(2, "big")) + b"\0"
    assert FrameDecoder().feed(data) == [Frame(0, body)]


@pytest.mark.parametrize("length", [0, MAX_BODY + 1])
def test_what_no_reader_takes_is_not_sent(length: int) -> None:
    with pytest.raises(HostMistake, match=str(length)):
        encode_frame(b"x" * length)


def test_the_longest_body_gets_through_however_it_is_stuffed() -> None:
    for fill in (b"\0", b"x"):
        body = fill * MAX_BODY
        assert FrameDecoder().feed(encode_frame(body)) == [Frame(0, body)]


def read_all(data: bytes, deal: Dealer) -> list[Frame | BadFrame]:
    decoder = FrameDecoder()
    return [found for piece in deal(data) for found in decoder.feed(piece)]


@pytest.mark.parametrize("deal", DEALERS)
def test_garbage_before_between_and_behind_costs_no_good_frame(deal: Dealer) -> None:
    garbage = b"\x08garbage\x00\x00\x01\x00"
    frames = [encode_frame(bytes((n, 0, n))) for n in range(1, 6)]
    data = garbage + garbage.join(frames) + garbage
    found = read_all(data, deal)
    good = [f for f in found if isinstance(f, Frame)]
    assert [f.body for f in good] == [bytes((n, 0, n)) for n in range(1, 6)]
    for frame in good:
        assert data[frame.offset :].startswith(encode_frame(frame.body))
    bad = [f for f in found if isinstance(f, BadFrame)]
    assert [b.rule for b in bad] == [Rule.CHECKSUM, Rule.TOO_SHORT] * 6
    assert data[bad[2].offset :].startswith(bad[2].data)


@pytest.mark.parametrize("deal", DEALERS)
def test_a_cut_stream_gives_all_whole_frames_and_no_more(deal: Dealer) -> None:
    frames = [encode_frame(bytes((n, 0, n, 255))) for n in range(1, 4)]
    data = b"".join(frames)
    for cut in range(len(data) + 1):
        found = read_all(data[:cut], deal)
        whole_ones = sum(1 for n in range(1, 4) if sum(map(len, frames[:n])) <= cut)
        assert [f.body[0] for f in found if isinstance(f, Frame)] == list(range(1, whole_ones + 1))
        assert not [f for f in found if isinstance(f, BadFrame)]


def test_a_sound_checksum_over_nothing_is_no_frame() -> None:
    # The sum over nothing is FFFF: without this rule these bytes would be a message without an id.
    [report] = FrameDecoder().feed(b"\x03\xff\xff\0")
    assert isinstance(report, BadFrame)
    assert report.rule is Rule.TOO_SHORT


def test_a_report_says_rule_place_and_bytes() -> None:
    good = encode_frame(b"\x83abc")
    damaged = bytearray(good)
    damaged[3] ^= 0x10
    [first, report, last] = FrameDecoder().feed(good + bytes(damaged) + good)
    assert isinstance(first, Frame)
    assert isinstance(last, Frame)
    assert isinstance(report, BadFrame)
    assert report.rule is Rule.CHECKSUM
    assert report.offset == len(good)
    assert report.hex == damaged[:-1].hex(" ")
    assert str(report).startswith(f"byte {len(good)}: the checksum does not fit (it says ")


def test_swapped_checksum_bytes_can_be_told_from_the_report() -> None:
    body = b"\x82\x01\x00"
    report = read_frame(cobs_encode(body + crc16(body).to_bytes(2, "little")), 0)
    assert isinstance(report, BadFrame)
    swapped = crc16(body).to_bytes(2, "little").hex()
    assert report.note == f"it says {swapped}, should be {crc16(body):04x}"


@pytest.mark.parametrize("deal", DEALERS)
@pytest.mark.parametrize("length", [MAX_STUFFED, MAX_STUFFED + 1, 5 * MAX_STUFFED])
def test_garbage_without_a_delimiter_is_reported_once_and_not_kept(deal: Dealer, length: int) -> None:
    good = encode_frame(b"\x83abc")
    decoder = FrameDecoder()
    found = []
    for piece in deal(good + b"\x02" * length):
        found += decoder.feed(piece)
        assert len(decoder.unfinished) <= MAX_STUFFED
    too_long = length > MAX_STUFFED
    assert [f.rule for f in found if isinstance(f, BadFrame)] == [Rule.TOO_LONG] * too_long
    behind = decoder.feed(b"\0" + good)
    rules = [f.rule for f in behind if isinstance(f, BadFrame)]
    assert rules == ([] if too_long else [Rule.CHECKSUM])
    assert behind[-1] == Frame(len(good) + length + 1, b"\x83abc")
    if too_long:
        assert found[-1] == BadFrame(Rule.TOO_LONG, len(good), b"\x02" * EVIDENCE_BYTES)


def test_memory_stays_bounded_under_megabytes_of_garbage() -> None:
    decoder = FrameDecoder()
    for _ in range(1000):
        decoder.feed(b"\x55" * 4096)
    assert sys.getsizeof(decoder.unfinished) < 2 * MAX_STUFFED


@settings(derandomize=True, deadline=None, max_examples=300)
@given(st.binary(max_size=400), st.lists(st.integers(0, 400), max_size=8))
def test_how_the_bytes_are_dealt_out_makes_no_difference(data: bytes, cuts: list[int]) -> None:
    ends = sorted({min(cut, len(data)) for cut in cuts} | {len(data)})
    decoder = FrameDecoder()
    found = [f for a, b in zip([0, *ends], ends, strict=False) for f in decoder.feed(data[a:b])]
    assert found == FrameDecoder().feed(data)


@pytest.mark.parametrize("seed", range(2))
def test_damage_never_yields_a_wrong_frame(seed: int) -> None:
    # A 16-bit checksum lets about one in 65536 heavily damaged frames through; here are some 2500 of them.
    sent = [wire(message) for message in some_messages(12_000, seed)]
    true_bodies = {frame.body for frame in FrameDecoder().feed(b"".join(sent)) if isinstance(frame, Frame)}
    found = FrameDecoder().feed(flipped(b"".join(sent), 0.005, seed))
    good = [f for f in found if isinstance(f, Frame)]
    wrong = [f for f in good if f.body not in true_bodies]
    assert wrong == []
    assert 0.85 * len(sent) < len(good) < 0.95 * len(sent)
    assert len(found) > len(good)
