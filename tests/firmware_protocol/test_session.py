"""What a session tells of what a board says, on good lines and bad ones."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import pytest

from firmware_protocol.codec import decode, table_crc
from firmware_protocol.errors import HostMistake, Rule
from firmware_protocol.frames import Frame, FrameDecoder, encode_frame
from firmware_protocol.messages import (
    Ack,
    Event,
    Identify,
    Identity,
    Message,
    Move,
    Query,
    Sample,
    Status,
    Stop,
    Stream,
    Zero,
)
from firmware_protocol.session import Session
from firmware_protocol.session_events import (
    Answered,
    Counters,
    FrameBad,
    Happened,
    Identified,
    MessageUnknown,
    Rebooted,
    SamplesRead,
    SessionEvent,
    StatusRead,
    WrongRig,
)
from firmware_protocol.session_states import State
from firmware_protocol.vocabulary import PROTOCOL_VERSION, EventCode, Result, StopReason
from tests.firmware_protocol.streams import DEALERS, Dealer, flipped, wire

BOARD = Identity(
    1, PROTOCOL_VERSION, table_crc(), 0x0102, 9, 1, 0, 24, 80_000, 800_000, 80_000, 8_000, 1_000, 2_000_000, "rig"
)
BOOT = Event(EventCode.BOOT, 0, 0, 0)


def ready_session() -> Session:
    session = Session()
    session.request(Identify(0, PROTOCOL_VERSION))
    assert session.receive(wire(BOARD)) == [Identified(BOARD)]
    return session


def sent_messages(data: bytes) -> list[Message]:
    return [decode(f) for f in FrameDecoder().feed(data) if isinstance(f, Frame)]  # type: ignore[misc]


def sample(seq: int) -> Sample:
    return Sample(seq, seq * 1000, -seq, seq * 2, 1)


def test_commands_are_numbered_and_begin_with_a_delimiter() -> None:
    session = ready_session()
    data = session.request(Zero(0))
    assert data[0] == 0
    assert data[-1] == 0
    assert sent_messages(data) == [Zero(2)]
    assert session.repeat() == data


def test_leftovers_on_the_line_do_not_spoil_a_command() -> None:
    assert sent_messages(b"half a fra" + Session().request(Stop(0))) == [Stop(1)]


def test_request_ids_wrap_without_ever_being_zero() -> None:
    session = ready_session()
    seen = []
    for _ in range(600):
        [command] = sent_messages(session.request(Stop(0)))
        assert isinstance(command, Stop)
        seen.append(command.request)
    assert seen == [(n % 255) + 1 for n in range(1, 601)]


def test_a_command_with_a_value_that_does_not_fit_is_not_outstanding() -> None:
    session = ready_session()
    with pytest.raises(HostMistake, match="target_steps"):
        session.request(Move(0, 2**31, 1, 1))
    assert session.state is State.READY
    assert sent_messages(session.request(Zero(0))) == [Zero(2)]


def test_a_second_command_is_refused_with_the_name_of_the_first() -> None:
    session = ready_session()
    session.request(Zero(0))
    with pytest.raises(HostMistake, match=r"Query must wait: Zero request=2 is not answered yet"):
        session.request(Query(0))


def test_answers_name_their_command() -> None:
    session = ready_session()
    session.request(Zero(0))
    assert session.receive(wire(Ack(2, Result.BUSY))) == [Answered(Zero(2), Ack(2, Result.BUSY))]
    session.request(Query(0))
    status = Status(3, 0, 1, 2, 3, 0, 4, BOARD.boot_count, 0, 0)
    assert session.receive(wire(status)) == [StatusRead(status)]
    assert session.state is State.READY


def test_stop_takes_the_place_of_a_command_and_the_commands_late_answer_is_stray() -> None:
    session = ready_session()
    session.request(Move(0, 100, 1, 1))
    session.request(Stop(0))
    assert session.receive(wire(Ack(2, Result.OK))) == []
    assert session.state is State.STOPPING
    assert session.receive(wire(Ack(3, Result.OK))) == [Answered(Stop(3), Ack(3, Result.OK))]
    assert session.counters.stray_answers == 1


def test_both_answers_to_a_repeated_command_are_taken_and_one_counts() -> None:
    session = ready_session()
    session.request(Zero(0))
    session.repeat()
    ack = wire(Ack(2, Result.OK))
    assert session.receive(ack + ack) == [Answered(Zero(2), Ack(2, Result.OK))]
    assert session.counters.stray_answers == 1


@pytest.mark.parametrize("deal", DEALERS)
def test_samples_come_in_runs_with_losses_counted_and_news_in_its_place(deal: Dealer) -> None:
    session = ready_session()
    news = Event(EventCode.MOVE_DONE, 1, 2, 3)
    data = b"".join(map(wire, [*map(sample, (65534, 65535, 0, 3, 4)), news, sample(5)]))
    told = [event for piece in deal(data) for event in session.receive(piece)]
    flat = [
        (s.seq, r.lost if n == 0 else 0)
        for r in told
        if isinstance(r, SamplesRead)
        for n, s in enumerate(r.samples)
    ]
    assert flat == [(65534, 0), (65535, 0), (0, 0), (3, 2), (4, 0), (5, 0)]
    assert told.index(Happened(news)) == len(told) - 2
    assert session.counters.lost_samples == 2
    if deal is DEALERS[0]:
        assert [len(r.samples) for r in told if isinstance(r, SamplesRead)] == [3, 2, 1]


def test_a_loss_of_nearly_a_whole_count_is_still_counted() -> None:
    session = ready_session()
    session.receive(wire(sample(10)))
    assert session.receive(wire(sample(9))) == [SamplesRead((sample(9),), 65534)]


def test_samples_switched_off_for_a_while_are_not_lost() -> None:
    session = ready_session()
    session.receive(wire(sample(10)))
    session.request(Stream(0, 1))
    assert session.receive(wire(Ack(2, 0)) + wire(sample(500)))[-1] == SamplesRead((sample(500),), 0)
    assert session.counters.lost_samples == 0


def test_of_a_stranger_no_samples_status_or_news_are_heard() -> None:
    session = Session()
    status = Status(3, 0, 1, 2, 3, 0, 4, 9, 0, 0)
    assert session.receive(b"".join(map(wire, (sample(1), status, Event(EventCode.HOMED, 0, 0, 0))))) == []
    assert session.receive(wire(BOOT)) == [Happened(BOOT)]
    assert session.counters.frames == 4


@pytest.mark.parametrize(
    ("board", "reason"),
    [
        (replace(BOARD, protocol=PROTOCOL_VERSION + 1), "speaks version 2 .* update this program"),
        (replace(BOARD, protocol=0), "speaks version 0 .* update the rig's firmware"),
        (replace(BOARD, table_crc=table_crc() ^ 1), "another message table"),
    ],
)
def test_a_board_that_does_not_fit_is_told_with_what_to_do(board: Identity, reason: str) -> None:
    session = Session()
    session.request(Identify(0, PROTOCOL_VERSION))
    [told] = session.receive(wire(board))
    assert isinstance(told, WrongRig)
    assert re.search(reason, told.reason)
    assert session.state is State.FOREIGN
    assert session.identity is None


@pytest.mark.parametrize("version", [2, PROTOCOL_VERSION])
def test_an_identity_in_an_unknown_form_is_a_wrong_rig_too(version: int) -> None:
    session = Session()
    session.request(Identify(0, PROTOCOL_VERSION))
    [bad, told] = session.receive(encode_frame(bytes((0x81, 1, version)) + b"whatever comes in the next version"))
    assert isinstance(bad, FrameBad)
    assert isinstance(told, WrongRig)
    assert session.state is State.FOREIGN


def test_an_identity_in_an_unknown_form_that_answers_something_else_is_only_bad() -> None:
    session = Session()
    session.request(Identify(0, PROTOCOL_VERSION))
    [bad] = session.receive(encode_frame(bytes((0x81, 99, 2))))
    assert isinstance(bad, FrameBad)
    assert session.state is State.ASKING


@pytest.mark.parametrize(
    "news",
    [
        pytest.param([BOOT], id="its BOOT event"),
        pytest.param([Status(2, 0, 0, 0, 0, StopReason.RESET << 8, 0, 10, 0, 0)], id="another boot count"),
        pytest.param([Ack(2, Result.NOT_IDENTIFIED)], id="it does not know the host"),
    ],
)
def test_a_restart_is_learned_in_three_ways(news: list[Message]) -> None:
    session = ready_session()
    session.request(Query(0))
    told = session.receive(b"".join(map(wire, news)))
    assert told[-1] == Rebooted(BOARD)
    assert session.state is State.STRANGER
    assert session.identity is None
    with pytest.raises(HostMistake, match="identified"):
        session.request(Zero(0))


def test_a_stop_outlives_a_restart() -> None:
    session = ready_session()
    data = session.request(Stop(0))
    session.receive(wire(BOOT))
    assert session.state is State.STOPPING_STRANGER
    assert session.repeat() == data


def test_damage_before_the_first_sound_frame_is_no_error() -> None:
    session = Session()
    assert session.receive(b"lse\0garbage\0") == []
    assert session.counters == Counters(bytes=12, early_damage=2)
    session.request(Identify(0, PROTOCOL_VERSION))
    session.receive(wire(BOARD))
    [told] = session.receive(b"garbage\0")
    assert isinstance(told, FrameBad)
    assert told.report.offset == 12 + len(wire(BOARD))
    assert session.counters.bad_frames == 1


def test_a_sound_frame_that_breaks_a_rule_is_told_at_once() -> None:
    [told] = Session().receive(encode_frame(b"\x83short"))
    assert isinstance(told, FrameBad)
    assert told.report.rule is Rule.WRONG_LENGTH


def test_a_line_that_echoes_is_no_rig() -> None:
    session = Session()
    [told] = session.receive(session.request(Identify(0, PROTOCOL_VERSION)))
    assert isinstance(told, FrameBad)
    assert told.report.rule is Rule.WRONG_DIRECTION
    assert session.state is State.ASKING


def test_unknown_messages_are_handed_on() -> None:
    session = ready_session()
    assert session.receive(encode_frame(b"\x99new")) == [MessageUnknown(0x99, b"new")]
    assert session.counters.unknown == 1


def test_no_bytes_make_a_session_fail() -> None:
    dice = random.Random(1)
    for _ in range(300):
        session = ready_session()
        session.request(Query(0))
        told: list[SessionEvent] = []
        for _ in range(20):
            told += session.receive(dice.randbytes(dice.randrange(60)))
            told += session.receive(encode_frame(dice.randbytes(dice.randrange(1, 60))))
            told += session.receive(encode_frame(bytes((dice.randrange(0x80, 0x88),)) + dice.randbytes(16)))
        assert session.counters.frames > 20


@pytest.mark.parametrize("seed", range(3))
def test_on_a_damaged_line_every_sample_is_true_and_every_loss_is_counted(seed: int) -> None:
    sent = [sample(n) for n in range(5000)]
    session = ready_session()
    told = session.receive(flipped(b"".join(map(wire, sent)), 0.005, seed) + wire(sample(5000)))
    read = [s for run in told if isinstance(run, SamplesRead) for s in run.samples]
    assert set(read) <= {*sent, sample(5000)}
    first = read[0].seq
    assert len(read) + session.counters.lost_samples == 5001 - first
    assert session.counters.bad_frames > 300
