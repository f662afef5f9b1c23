"""The board's rules, one by one, on the real bytes."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from firmware_protocol.codec import encode, table_crc
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import (
    Ack,
    ClearStop,
    Event,
    Heartbeat,
    Home,
    Identify,
    Identity,
    Move,
    Pull,
    Query,
    Sample,
    Stop,
    Stream,
    Zero,
)
from firmware_protocol.vocabulary import (
    LATCHING,
    PROTOCOL_VERSION,
    Ability,
    BoardState,
    EventCode,
    Flag,
    Result,
    StopReason,
    stop_reason,
)
from rig.simulated.amplifier import COUNTS_PER_N
from rig.simulated.stage import FAR_SWITCH_STEPS, START_STEPS, TRAVEL_STEPS
from tests.rig.simulated.desk import FORCE_LIMIT, HEARTBEAT, PULL_SPEED_MSTEPS_S, Desk, broken_pull

FAST = 4_000_000
COMMANDS: tuple[Any, ...] = (
    ClearStop(0, StopReason.DONE),
    Zero(0),
    Move(0, 100, FAST, FORCE_LIMIT),
    Pull(0, 100, FAST, FORCE_LIMIT, 0),
    Home(0, FAST),
    Stream(0, 1),
    Query(0),
)


def ready(strand: str = "virgin", **more: Any) -> Desk:
    desk = Desk(strand, **more)
    desk.identify()
    return desk


def move(desk: Desk, steps: int, *, speed: int = FAST, limit: int = FORCE_LIMIT) -> Result:
    return desk.result(Move(0, steps, speed, limit))


def home(desk: Desk) -> None:
    assert desk.result(Home(0, FAST)) is Result.OK
    desk.wait_to_stand()


# -- who it is -------------------------------------------------------------------------------------------


def test_it_says_that_it_has_started_and_who_it_is() -> None:
    desk = Desk()
    identity = desk.ask(Identify(0, PROTOCOL_VERSION))
    assert desk.events() == [EventCode.BOOT]
    assert isinstance(identity, Identity)
    assert identity.protocol == PROTOCOL_VERSION
    assert identity.table_crc == table_crc()
    assert Ability(identity.abilities) == Ability.SIMULATED | Ability.LIMIT_SWITCHES | Ability.EMERGENCY_STOP
    assert (identity.sensor_bits, identity.rate_mhz) == (24, 80_000)
    assert (identity.steps_per_m, identity.travel_steps) == (800_000, 60 * 800)
    assert (identity.max_speed_steps_s, identity.force_range_mn) == (8000, 2000)
    assert identity.counts_per_n == pytest.approx(2**23 / 2.4, abs=1)
    assert identity.name == "simulated rig"


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: type(c).__name__)
def test_nothing_but_stop_goes_before_identify(command: Any) -> None:
    desk = Desk()
    desk.wait(0.3)
    assert desk.result(command) is Result.NOT_IDENTIFIED
    assert desk.result(Stop(0)) is Result.OK


def test_a_host_of_another_protocol_version_is_answered_but_not_obeyed() -> None:
    desk = Desk()
    assert desk.ask(Identify(0, PROTOCOL_VERSION + 1)).protocol == PROTOCOL_VERSION
    assert desk.result(Zero(0)) is Result.NOT_IDENTIFIED


# -- motion ----------------------------------------------------------------------------------------------


def test_a_move_ends_on_its_target_and_says_so() -> None:
    desk = ready()
    assert move(desk, 1600) is Result.OK
    assert desk.status().state == BoardState.MOVING
    assert desk.status().flags & Flag.MOVING
    desk.wait_to_stand()
    status = desk.status()
    assert (status.steps, status.state) == (1600, BoardState.IDLE)
    assert stop_reason(status.flags) is StopReason.DONE
    assert desk.events()[-1] is EventCode.MOVE_DONE
    assert desk.of(Event)[-1].steps == 1600


def test_a_motion_that_starts_clears_the_reason_of_the_last_stop() -> None:
    desk = ready()
    move(desk, 100)
    desk.wait_to_stand()
    assert desk.reason() is StopReason.DONE
    move(desk, 5000)
    assert desk.reason() is StopReason.NONE


def test_home_finds_the_near_switch_and_counts_from_it() -> None:
    desk = ready()
    assert not desk.status().flags & Flag.HOMED
    home(desk)
    status = desk.status()
    assert status.steps == 0
    assert status.flags & Flag.HOMED
    assert status.flags & Flag.NEAR_LIMIT
    assert desk.events()[-1] is EventCode.HOMED
    assert desk.board.machine.stage.position_mm == 0.0
    assert desk.result(Home(0, FAST)) is Result.OK, "already on the switch"
    desk.wait(0.1)
    assert desk.events()[-2:] == [EventCode.HOMED, EventCode.HOMED]


def test_unhomed_both_switches_stop_a_move_and_are_latched() -> None:
    for far, place in ((True, FAR_SWITCH_STEPS - START_STEPS), (False, -START_STEPS)):
        desk = ready()
        assert move(desk, 100_000 if far else -100_000, speed=8_000_000) is Result.OK
        desk.wait_to_stand()
        status = desk.status()
        assert status.steps == place
        assert status.flags & (Flag.FAR_LIMIT if far else Flag.NEAR_LIMIT)
        assert desk.reason() is StopReason.LIMIT_SWITCH
        assert desk.events()[-1] is EventCode.LIMIT_SWITCH
        assert move(desk, 0) is Result.LATCHED
        assert desk.clear(StopReason.LIMIT_SWITCH) is Result.OK
        assert move(desk, place + (1 if far else -1)) is Result.AT_LIMIT
        assert move(desk, 0) is Result.OK


def test_homed_targets_must_be_within_the_travel() -> None:
    desk = ready()
    home(desk)
    assert move(desk, TRAVEL_STEPS + 1) is Result.BAD_VALUE
    assert move(desk, -1) is Result.BAD_VALUE
    assert desk.result(Pull(0, TRAVEL_STEPS + 1, FAST, FORCE_LIMIT, 0)) is Result.BAD_VALUE
    assert move(desk, TRAVEL_STEPS, speed=8_000_000) is Result.OK
    desk.wait_to_stand()
    assert desk.status().steps == TRAVEL_STEPS
    assert desk.reason() is StopReason.DONE


@pytest.mark.parametrize(("speed", "limit"), [(0, 1), (8_000_001, 1), (FAST, 0)])
def test_speeds_and_limits_that_make_no_sense_are_refused(speed: int, limit: int) -> None:
    desk = ready()
    assert move(desk, 100, speed=speed, limit=limit) is Result.BAD_VALUE
    assert desk.result(Pull(0, 100, speed, limit, 0)) is Result.BAD_VALUE
    assert desk.status().state == BoardState.IDLE


def test_a_running_motor_refuses_what_would_disturb_it() -> None:
    desk = ready()
    move(desk, 20_000)
    for command in (Move(0, 0, FAST, FORCE_LIMIT), Pull(0, 0, FAST, FORCE_LIMIT, 0), Home(0, FAST), Zero(0)):
        assert desk.result(command) is Result.BUSY
    desk.wait_to_stand()
    assert desk.status().steps == 20_000


def test_no_motion_and_no_zero_before_there_are_readings() -> None:
    desk = Desk()
    desk.ask(Identify(0, PROTOCOL_VERSION))
    assert desk.result(Zero(0)) is Result.SENSOR_NOT_READY
    assert move(desk, 100) is Result.SENSOR_NOT_READY
    desk.wait(0.2)
    assert desk.result(Zero(0)) is Result.OK
    assert move(desk, 100) is Result.OK


# -- stop in every state ---------------------------------------------------------------------------------


def start_moving(desk: Desk) -> None:
    move(desk, 30_000)
    desk.wait(1.0)


def start_pulling(desk: Desk) -> None:
    desk.pull()
    desk.wait(1.0)


def start_homing(desk: Desk) -> None:
    move(desk, 20_000)
    desk.wait_to_stand()
    desk.result(Home(0, 2_000_000))
    desk.wait(0.5)


def start_stopping(desk: Desk) -> None:
    start_moving(desk)
    desk.result(Stop(0))
    desk.wait(0.1)


def latch(desk: Desk) -> None:
    move(desk, -100_000)
    desk.wait_to_stand()


STATES = {
    BoardState.IDLE: lambda desk: None,
    BoardState.MOVING: start_moving,
    BoardState.PULLING: start_pulling,
    BoardState.HOMING: start_homing,
    BoardState.STOPPING: start_stopping,
    BoardState.LATCHED: latch,
}


@pytest.mark.parametrize("state", BoardState)
def test_stop_is_accepted_in_every_state_and_the_motor_stands(state: BoardState) -> None:
    desk = ready()
    STATES[state](desk)
    before = desk.status()
    assert before.state == state
    assert desk.result(Stop(0)) is Result.OK
    desk.wait(0.6)
    after = desk.status()
    assert not after.flags & Flag.MOVING
    if state in (BoardState.IDLE, BoardState.LATCHED):
        assert (after.steps, after.flags) == (before.steps, before.flags)
    else:
        assert stop_reason(after.flags) is StopReason.COMMAND
        assert desk.events()[-1] is EventCode.STOPPED
        assert desk.events().count(EventCode.STOPPED) == 1
    desk.wait(0.2)
    assert desk.status().steps == after.steps


def test_a_stop_needs_no_clearing() -> None:
    desk = ready()
    start_stopping(desk)
    desk.wait_to_stand()
    assert move(desk, 0) is Result.OK


# -- repeats ---------------------------------------------------------------------------------------------


def test_a_repeated_command_is_answered_again_and_not_carried_out_again() -> None:
    desk = ready()
    request = desk.send(Move(0, 800, FAST, FORCE_LIMIT))
    again = encode_frame(encode(Move(request, 800, FAST, FORCE_LIMIT)))
    desk.board.receive(again)
    desk.wait_to_stand()
    desk.board.receive(again)
    desk.collect()
    answers = [m for m in desk.of(Ack) if m.request == request]
    assert answers == [Ack(request, Result.OK)] * 3
    desk.wait(0.5)
    assert desk.events().count(EventCode.MOVE_DONE) == 1


def test_a_refusal_is_repeated_too() -> None:
    desk = ready()
    start_moving(desk)
    request = desk.send(Zero(0))
    desk.result(Stop(0))
    desk.wait_to_stand()
    assert [m.result for m in desk.of(Ack) if m.request == request] == [Result.BUSY]
    request = desk.send(ClearStop(0, StopReason.EMERGENCY_STOP))
    desk.board.receive(encode_frame(encode(ClearStop(request, StopReason.EMERGENCY_STOP))))
    desk.collect()
    assert [m.result for m in desk.of(Ack) if m.request == request] == [Result.WRONG_REASON] * 2


def test_the_same_request_id_under_another_command_is_a_new_command() -> None:
    """A host that was started anew begins with the ids the last one ended with."""
    desk = ready()
    request = desk.send(Zero(0))
    desk.board.receive(encode_frame(encode(Stream(request, 1))))
    desk.wait(0.2)
    assert desk.samples()


def test_stop_with_an_old_id_stops() -> None:
    desk = ready()
    desk.board.receive(encode_frame(encode(Stop(9))))
    desk.board.receive(encode_frame(encode(Move(10, 20_000, FAST, FORCE_LIMIT))))
    desk.wait(0.5)
    desk.board.receive(encode_frame(encode(Stop(9))))
    desk.wait_to_stand()
    assert desk.reason() is StopReason.COMMAND


def test_a_board_that_started_anew_remembers_no_answer() -> None:
    desk = ready(faults=("reset@start+1",))
    request = desk.send(Move(0, 30_000, FAST, FORCE_LIMIT))
    desk.wait(1.0)
    desk.board.receive(encode_frame(encode(Move(request, 30_000, FAST, FORCE_LIMIT))))
    desk.collect()
    assert [m.result for m in desk.of(Ack) if m.request == request] == [Result.OK, Result.NOT_IDENTIFIED]


# -- what is not a command -------------------------------------------------------------------------------


def test_unknown_messages_and_those_of_the_other_direction_are_answered_unknown() -> None:
    desk = ready()
    for body in (b"\x70\x2a\x00", encode(Ack(42, 0)), b"\x05\x2a\x00\x00"):
        desk.board.receive(encode_frame(body))
        desk.collect()
        assert desk.of(Ack)[-1] == Ack(42, Result.UNKNOWN)
    desk.board.receive(encode_frame(b"\x71"))
    desk.collect()
    assert desk.of(Ack)[-1] == Ack(0, Result.UNKNOWN)


def test_damaged_frames_are_counted_and_otherwise_ignored() -> None:
    desk = ready()
    good = encode_frame(encode(Move(99, 100, FAST, FORCE_LIMIT)))
    desk.board.receive(good[:3] + bytes([good[3] ^ 1]) + good[4:])
    desk.board.receive(b"\x05\x01\x00" * 4)
    status = desk.status()
    assert status.bad_frames == 5
    assert status.state == BoardState.IDLE


# -- silence ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scale", [0.5, 1.0, 10.0])
def test_silence_stops_the_motor_within_500_ms_and_a_tick_of_wall_time(scale: float) -> None:
    desk = ready(step_us=round(5000 * scale))
    move(desk, 40_000, speed=1_000_000)
    desk.wait(0.5, scale=scale)
    desk.board.receive(HEARTBEAT)
    desk.wait(0.498 * scale, heartbeat=False, scale=scale)
    assert desk.board.machine.stage.moving
    desk.wait(0.003 * scale, heartbeat=False, scale=scale)
    assert not desk.board.machine.stage.moving
    silent = desk.of(Event)[-1]
    assert silent.code == EventCode.HOST_SILENT
    desk.wait(2.0, heartbeat=False, scale=scale)
    assert desk.status().steps == silent.steps
    assert move(desk, 0) is Result.LATCHED
    assert desk.clear(StopReason.HOST_SILENT) is Result.OK
    assert move(desk, 0) is Result.OK


def test_garbage_is_no_sign_of_life_and_any_good_frame_is() -> None:
    for data, lives in ((b"\x07\x08\x09\x00" * 5, False), (encode_frame(b"\x77"), True)):
        desk = ready()
        move(desk, 40_000, speed=1_000_000)
        for _ in range(10):
            desk.board.receive(data)
            desk.wait(0.2, heartbeat=False)
        assert desk.board.machine.stage.moving is lives


def test_a_silent_host_does_not_matter_while_the_motor_stands() -> None:
    desk = ready()
    desk.wait(30.0, heartbeat=False)
    assert desk.reason() is StopReason.NONE


# -- force -----------------------------------------------------------------------------------------------


def test_a_pull_ends_when_the_strand_breaks() -> None:
    desk = broken_pull()
    assert desk.events()[-1] is EventCode.BREAK_SEEN
    assert desk.reason() is StopReason.BREAK_SEEN
    truth = desk.board.truths[-1]
    assert truth.outcome == "broke"
    assert truth.break_us is not None
    seen = desk.of(Event)[-1]
    assert 0 < seen.t_us - truth.break_us < 100_000, "seen within eight readings"
    assert desk.pull() is Result.LATCHED
    assert move(desk, 0) is Result.LATCHED


def test_a_floor_of_zero_never_looks_for_a_break() -> None:
    desk = Desk("over-processed")
    desk.prepare()
    assert desk.pull(mm=10.0, floor=0) is Result.OK
    desk.wait_to_stand()
    assert desk.board.truths[-1].outcome == "broke"
    assert desk.reason() is StopReason.DONE


def test_the_force_limit_stops_the_motor_at_once() -> None:
    desk = Desk("stiff-wire")
    desk.prepare()
    limit = round(0.5 * COUNTS_PER_N)
    assert desk.pull(limit=limit) is Result.OK
    desk.wait_to_stand()
    assert desk.reason() is StopReason.FORCE_LIMIT
    assert desk.events()[-1] is EventCode.FORCE_LIMIT
    desk.wait(0.3)
    assert desk.force_n(desk.samples()[-1]) > 0.5
    assert desk.board.truths[-1].force_max_n < 1.2, "the filter is two readings late, the median one"


def test_the_force_limit_holds_for_moves_and_in_either_direction() -> None:
    desk = Desk("reference-spring", slack_mm=-2.0)
    desk.prepare()
    assert move(desk, -1600, limit=round(0.05 * COUNTS_PER_N)) is Result.OK
    desk.wait_to_stand()
    assert desk.reason() is StopReason.FORCE_LIMIT
    assert desk.force_n(desk.samples()[-1]) < -0.04


def test_zero_is_the_mean_of_the_last_eight_readings_rounded_down() -> None:
    desk = Desk()
    desk.identify()
    desk.result(Stream(0, 1))
    desk.wait(0.5)
    last = [sample.counts for sample in desk.samples()][-8:]
    assert desk.result(Zero(0)) is Result.OK
    assert desk.status().zero_counts == sum(last) // 8


# -- latched reasons -------------------------------------------------------------------------------------


def test_a_latched_reason_must_be_named_to_be_cleared() -> None:
    desk = broken_pull("over-processed")
    for reason in LATCHING - {StopReason.BREAK_SEEN}:
        assert desk.clear(reason) is Result.WRONG_REASON
    assert desk.status().state == BoardState.LATCHED
    assert desk.clear(StopReason.BREAK_SEEN) is Result.OK
    assert desk.reason() is StopReason.NONE
    assert move(desk, 0) is Result.OK


def test_the_reason_is_in_every_sample_until_it_is_cleared() -> None:
    desk = broken_pull("over-processed")
    seen = desk.of(Event)[-1]
    after = [s for s in desk.samples() if s.t_us > seen.t_us]
    assert len(after) > 30
    assert {stop_reason(s.flags) for s in after} == {StopReason.BREAK_SEEN}
    cause = next(s for s in desk.samples() if s.t_us == seen.t_us)
    assert stop_reason(cause.flags) is StopReason.NONE, "the reading that causes the stop still tells of before"
    assert desk.came.index(cause) < desk.came.index(seen)


# -- the stream ------------------------------------------------------------------------------------------


def test_samples_come_only_when_asked_for_and_seq_counts_every_reading() -> None:
    desk = ready()
    desk.wait(1.0)
    assert desk.samples() == []
    desk.result(Stream(0, 1))
    desk.wait(2.0)
    first = desk.samples()
    assert [s.seq for s in first] == list(range(first[0].seq, first[0].seq + len(first)))
    assert first[0].seq > 80
    desk.result(Stream(0, 0))
    desk.wait(1.0)
    assert len(desk.samples()) == len(first)
    assert desk.result(Stream(0, 2)) is Result.BAD_VALUE


def test_a_line_that_is_full_drops_readings_counts_them_and_says_so() -> None:
    desk = ready(rate_hz=1000.0)
    desk.result(Stream(0, 1))
    for _ in range(1000):
        desk.board.receive(HEARTBEAT)
        desk.board.advance(5000, 5000)
    dropped = desk.board.dropped
    assert dropped > 1000
    desk.collect()
    desk.wait(0.1)
    samples = desk.samples()
    marked = [n for n, s in enumerate(samples) if s.flags & Flag.READINGS_DROPPED]
    assert len(marked) == 1
    assert samples[marked[0]].seq - samples[marked[0] - 1].seq - 1 == dropped
    assert desk.status().dropped == dropped


def test_board_time_and_seq_wrap() -> None:
    desk = ready(step_us=1_000_000)
    desk.result(Stream(0, 1))
    desk.board.machine.now_us = 2**32 - 500_000
    desk.board.machine.amplifier.due_us = desk.board.machine.amplifier._next_us = 2**32 - 400_000
    desk.board.machine._felt_us = desk.board.machine._read_us = 2**32 - 500_000
    desk.board.machine._seq = 65_500
    desk.wait(1.0)
    samples = desk.samples()
    assert samples[0].t_us > 2**32 - 500_000
    assert samples[-1].t_us < 1_000_000
    assert {(b.seq - a.seq) % 65_536 for a, b in itertools.pairwise(samples)} == {1}


def test_heartbeats_are_not_answered() -> None:
    desk = ready()
    before = len(desk.came)
    desk.board.receive(encode_frame(encode(Heartbeat())) * 10)
    desk.collect()
    assert len(desk.came) == before


# -- the next strand -------------------------------------------------------------------------------------


def test_several_pulls_in_one_connection_are_several_strands_of_one_head() -> None:
    desk = Desk()
    desk.prepare()
    for number in range(3):
        assert desk.pull() is Result.OK
        desk.wait_to_stand()
        assert desk.clear(StopReason.BREAK_SEEN) is Result.OK
        assert desk.board.truths[-1].parts[0].number == number
        assert move(desk, 0) is Result.OK
        desk.wait_to_stand()
        assert desk.result(Zero(0)) is Result.OK
        desk.wait(0.1)
    assert [t.outcome for t in desk.board.truths] == ["broke"] * 3 + ["intact"]
    assert len({t.break_strain for t in desk.board.truths[:3]}) == 3
    assert {t.mounted_at_mm for t in desk.board.truths} == {5.0}


def test_a_reading_s_force_is_the_model_s() -> None:
    """Through strand, give, filter and counts: the level after ten percent held is the strand's own."""
    desk = Desk("reference-spring")
    desk.prepare()
    desk.pull(mm=10.0, floor=0)
    desk.wait_to_stand()
    desk.wait(0.5)
    mean_n = sum(desk.force_n(s) for s in desk.samples()[-40:]) / 40
    # A spring of 0.05 N/mm in series with the rig's give of 0.012 mm/N, over 10 mm.
    assert mean_n == pytest.approx(10.0 / (1 / 0.05 + 0.012), abs=3e-4)


def test_messages_of_the_board_all_come_through_whole() -> None:
    desk = broken_pull("over-processed")
    assert desk.bad == 0
    kinds = {type(m) for m in desk.came}
    assert kinds == {Identity, Ack, Sample, Event}


def test_a_pull_of_a_homed_stage_can_reach_the_target_without_a_break() -> None:
    desk = Desk("never-breaking")
    desk.prepare()
    assert desk.result(Pull(0, 24_000, PULL_SPEED_MSTEPS_S * 4, FORCE_LIMIT, 100_000)) is Result.OK
    desk.wait_to_stand()
    assert desk.reason() is StopReason.DONE
    assert desk.board.truths[-1].furthest_strain > 0.95
