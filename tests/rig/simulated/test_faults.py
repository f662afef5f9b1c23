"""Every fault that can be ordered shows in what a host sees."""

from __future__ import annotations

import itertools
import statistics
from collections.abc import Callable

import pytest

from firmware_protocol.codec import table_crc
from firmware_protocol.messages import Event, Home, Identify, Identity, Move, Sample, Stop
from firmware_protocol.vocabulary import PROTOCOL_VERSION, EventCode, Flag, Result, StopReason, stop_reason
from rig.simulated.faults import KINDS, Fault, Since, fault, parse_fault
from tests.rig.simulated.desk import FORCE_LIMIT, Desk

#: Device seconds into the pull at which most faults are ordered here.
AT_S = 4.0


def pulled(name: str, *, strand: str = "virgin", seconds: float = 8.0, at: str = f"@{AT_S:g}") -> Desk:
    """A desk in the middle of a pull during which a fault has come."""
    desk = Desk(strand, faults=(name + at,))
    desk.prepare()
    assert desk.pull() is Result.OK
    desk.wait(seconds)
    return desk


def pull_time_s(desk: Desk, sample: Sample | Event) -> float:
    """Device time since the pull began; `prepare` takes half a second."""
    return sample.t_us * 1e-6 - 0.5


def counts(desk: Desk, start_s: float, end_s: float) -> list[int]:
    return [s.counts for s in desk.samples() if start_s <= pull_time_s(desk, s) < end_s]


def gaps_s(desk: Desk) -> list[float]:
    samples = desk.samples()
    return [(b.t_us - a.t_us) * 1e-6 for a, b in itertools.pairwise(samples)]


def check_glitch(desk: Desk) -> None:
    wild = [s for s in desk.samples() if s.counts == 2**23 - 1]
    assert len(wild) == 1
    assert wild[0].flags & Flag.SATURATED
    assert pull_time_s(desk, wild[0]) == pytest.approx(AT_S, abs=0.02)
    assert desk.board.machine.stage.moving, "one wild reading stops nothing"


def check_gap(desk: Desk) -> None:
    assert max(gaps_s(desk)) == pytest.approx(0.43, abs=0.02)
    assert desk.board.machine.stage.moving, "a pause that ends by itself stops nothing"


def check_freeze(desk: Desk) -> None:
    assert len(set(counts(desk, AT_S + 0.02, 8.0))) == 1
    assert desk.board.machine.stage.moving


def check_dead_sensor(desk: Desk) -> None:
    event = desk.of(Event)[-1]
    assert event.code == EventCode.SENSOR_FAULT
    assert pull_time_s(desk, event) == pytest.approx(AT_S + 0.6, abs=0.02)
    assert desk.status().flags & Flag.SENSOR_FAULT
    assert desk.reason() is StopReason.SENSOR_FAULT
    assert desk.clear(StopReason.SENSOR_FAULT) is Result.OK
    assert desk.pull() is Result.SENSOR_NOT_READY


def roughness(readings: list[int]) -> float:
    """Noise of readings on a smooth curve [count rms], from their second differences."""
    second = [a - 2 * b + c for a, b, c in zip(readings, readings[1:], readings[2:], strict=False)]
    return statistics.pstdev(second) / 6**0.5


def check_noise(desk: Desk) -> None:
    assert roughness(counts(desk, AT_S - 2, AT_S)) < 250
    assert 2000 < roughness(counts(desk, AT_S + 0.2, 8.0)) < 4500


def check_emergency_stop(desk: Desk) -> None:
    event = next(e for e in desk.of(Event) if e.code == EventCode.EMERGENCY_STOP)
    assert pull_time_s(desk, event) == pytest.approx(AT_S, abs=0.002)
    assert desk.status().steps == event.steps, "not a step further"
    pressed = [s for s in desk.samples() if s.flags & Flag.EMERGENCY_STOP]
    assert len(pressed) * 11.86e-3 == pytest.approx(2.0, abs=0.05), "pressed for two seconds"
    assert stop_reason(desk.samples()[-1].flags) is StopReason.EMERGENCY_STOP, "and latched after"
    assert desk.pull() is Result.LATCHED
    assert desk.clear(StopReason.BREAK_SEEN) is Result.WRONG_REASON
    assert desk.clear(StopReason.EMERGENCY_STOP) is Result.OK
    assert desk.result(Move(0, 0, 1_000_000, FORCE_LIMIT)) is Result.OK


def check_limit_switch(desk: Desk) -> None:
    assert desk.events()[-1] is EventCode.LIMIT_SWITCH
    assert pull_time_s(desk, desk.of(Event)[-1]) == pytest.approx(AT_S, abs=0.002)
    assert any(s.flags & Flag.FAR_LIMIT for s in desk.samples())


def check_reset(desk: Desk) -> None:
    assert desk.events().count(EventCode.BOOT) == 2
    last = max(pull_time_s(desk, s) for s in desk.samples())
    assert last < AT_S, "the stream is off after a start"
    identity = desk.ask(Identify(0, PROTOCOL_VERSION))
    assert identity.boot_count == 2
    status = desk.status()
    assert stop_reason(status.flags) is StopReason.RESET
    assert (status.steps, status.flags & Flag.HOMED) == (0, 0)


def check_hang(desk: Desk) -> None:
    assert desk.events().count(EventCode.BOOT) == 2
    desk.ask(Identify(0, PROTOCOL_VERSION))
    assert desk.reason() is StopReason.MAIN_LOOP_HUNG


def check_silence(desk: Desk) -> None:
    assert max(pull_time_s(desk, s) for s in desk.samples()) < AT_S
    assert desk.board.machine.stage.moving, "the host is heard, so the motor goes on"
    before = len(desk.raw)
    desk.send(Stop(0))
    desk.wait(0.5)
    assert len(desk.raw) == before
    assert not desk.board.machine.stage.moving, "and a stop still stops"


def check_unplug(desk: Desk) -> None:
    assert desk.board.unplugged
    assert max(pull_time_s(desk, s) for s in desk.samples()) < AT_S
    assert not desk.board.machine.stage.moving
    desk.board.plug_in()
    desk.collect()
    assert desk.reason() is StopReason.HOST_SILENT


def check_slip(desk: Desk) -> None:
    before, after = counts(desk, AT_S - 1, AT_S), counts(desk, AT_S + 1, 8.0)
    assert max(after) < max(before) + 1000
    rises = [b > a for a, b in itertools.pairwise(after)]
    assert 0.2 < sum(rises) / len(rises) < 0.95, "saw-teeth"
    assert desk.board.truths[-1].outcome == "slipped"


def check_clamp_break(desk: Desk) -> None:
    assert desk.events()[-1] is EventCode.BREAK_SEEN
    assert desk.board.truths[-1].outcome == "clamp_break"
    assert desk.board.truths[-1].break_us == pytest.approx((AT_S + 0.5) * 1e6, abs=2)


def check_zero_step(desk: Desk) -> None:
    shift = counts(desk, AT_S + 0.02, AT_S + 0.04)[0] - counts(desk, AT_S - 0.02, AT_S)[-1]
    assert shift / 3_495_253 == pytest.approx(0.030, abs=0.005)


def check_drift(desk: Desk) -> None:
    desk.wait_to_stand()
    levels = desk.samples()
    desk.wait(10.0)
    later = desk.samples()[len(levels) :]
    slope = (later[-1].counts - later[5].counts) / ((later[-1].t_us - later[5].t_us) * 1e-6)
    assert slope == pytest.approx(180, abs=80)


def check_lost_steps(desk: Desk) -> None:
    desk.wait_to_stand()
    desk.result(Home(0, 8_000_000))
    desk.clear(desk.reason())
    desk.result(Home(0, 8_000_000))
    desk.wait_to_stand()
    last = desk.of(Event)[-1]
    assert last.code == EventCode.HOMED
    # The counter began 4000 steps from the switch and is 400 ahead of the stage when it finds it.
    before_home = next(s for s in reversed(desk.samples()) if not s.flags & Flag.NEAR_LIMIT)
    assert before_home.steps < -3400
    assert desk.board.machine.stage.steps == 0


#: Faults that come in the middle of a pull of a virgin strand, and how each shows.
IN_A_PULL: dict[str, Callable[[Desk], None]] = {
    "glitch": check_glitch,
    "gap": check_gap,
    "freeze": check_freeze,
    "dead-sensor": check_dead_sensor,
    "noise": check_noise,
    "emergency-stop": check_emergency_stop,
    "limit-switch": check_limit_switch,
    "reset": check_reset,
    "hang": check_hang,
    "silence": check_silence,
    "unplug": check_unplug,
    "slip": check_slip,
    "clamp-break": check_clamp_break,
    "zero-step": check_zero_step,
    "drift": check_drift,
    "lost-steps": check_lost_steps,
}
FROM_THE_START = {
    "saturate",
    "lag",
    "zero-under-tension",
    "line-noise",
    "other-board",
    "wrong-protocol",
    "wrong-table",
}


@pytest.mark.parametrize("name", IN_A_PULL)
def test_a_fault_in_a_pull_shows(name: str) -> None:
    IN_A_PULL[name](pulled(name))


def test_every_fault_has_its_test() -> None:
    assert set(IN_A_PULL) | FROM_THE_START == set(KINDS)


def test_a_preloaded_cell_gives_a_flat_top_that_is_flagged() -> None:
    desk = pulled("saturate", at="")
    top = [s for s in desk.samples() if s.counts == 2**23 - 1]
    assert len(top) > 100
    assert all(s.flags & Flag.SATURATED for s in top)
    assert not any(s.flags & Flag.SATURATED for s in desk.samples() if s not in top)


def test_a_lagging_amplifier_shows_the_break_late_and_smeared() -> None:
    falls = {}
    for faults in ((), ("lag",)):
        desk = Desk("over-processed", faults=faults)
        desk.prepare()
        desk.pull()
        desk.wait_to_stand()
        desk.wait(0.5)
        truth = desk.board.truths[-1]
        assert truth.break_us is not None
        half = max(desk.force_n(s) for s in desk.samples()) / 2
        low = next(s for s in desk.samples() if s.t_us > truth.break_us and desk.force_n(s) < half)
        falls[faults] = (low.t_us - truth.break_us) * 1e-3
    assert 10 < falls[()] < 40
    assert 80 < falls[("lag",)] < 130


def test_a_zero_taken_under_tension_leaves_the_level_after_the_break_below_zero() -> None:
    desk = Desk("over-processed", faults=("zero-under-tension",))
    desk.prepare()
    desk.pull()
    desk.wait_to_stand()
    desk.wait(0.5)
    peak_n = max(desk.force_n(s) for s in desk.samples())
    after_n = statistics.fmean(desk.force_n(s) for s in desk.samples()[-20:])
    # Up to 32 % of the peak was seen in public logs.
    assert -0.32 * peak_n < after_n < -0.05 * peak_n


def test_a_noisy_line_damages_frames_that_are_told_by_their_checksum_and_seq() -> None:
    desk = pulled("line-noise", at="")
    clean = pulled("glitch", at="@100")
    assert desk.bad > 20
    seqs = [s.seq for s in desk.samples()]
    assert seqs == sorted(seqs)
    assert 0.8 * len(clean.samples()) < len(seqs) < 0.97 * len(clean.samples())
    sound = {s.seq: s for s in clean.samples()}
    assert all(sound[s.seq].counts == s.counts for s in desk.samples()), "nothing wrong was let through"


@pytest.mark.parametrize("name", ["other-board", "wrong-protocol", "wrong-table"])
def test_a_board_that_is_not_the_one_expected_says_so(name: str) -> None:
    usual = Desk().ask(Identify(0, PROTOCOL_VERSION))
    odd = Desk(faults=(name,)).ask(Identify(0, PROTOCOL_VERSION))
    assert isinstance(odd, Identity)
    assert (odd.board_id != usual.board_id) is (name == "other-board")
    assert (odd.protocol != PROTOCOL_VERSION) is (name == "wrong-protocol")
    assert (odd.table_crc != table_crc()) is (name == "wrong-table")


def test_an_emergency_stop_that_is_still_pressed_cant_be_cleared() -> None:
    desk = Desk(faults=("emergency-stop@start+1",))
    desk.identify()
    desk.result(Home(0, 8_000_000))
    desk.wait(1.5)
    assert desk.reason() is StopReason.EMERGENCY_STOP
    assert not desk.status().flags & Flag.HOMED, "an unpowered motor may turn"
    assert desk.clear(StopReason.EMERGENCY_STOP) is Result.LATCHED
    desk.wait(2.0)
    assert desk.clear(StopReason.EMERGENCY_STOP) is Result.OK


def test_a_fault_counted_from_the_pull_comes_in_every_pull() -> None:
    desk = Desk("wet", faults=("glitch@1",))
    desk.prepare()
    for _ in range(2):
        assert desk.pull(mm=0.9) is Result.OK
        desk.wait_to_stand()
        assert desk.result(Move(0, 0, 1_000_000, FORCE_LIMIT)) is Result.OK
        desk.wait_to_stand()
    assert sum(s.counts == 2**23 - 1 for s in desk.samples()) == 2


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("glitch", Fault("glitch", 10.0, Since.PULL, 0.0)),
        ("glitch@12.5", Fault("glitch", 12.5, Since.PULL, 0.0)),
        (" unplug@start+3 ", Fault("unplug", 3.0, Since.START, float("inf"))),
        ("lag", Fault("lag", 0.0, Since.START, float("inf"))),
    ],
)
def test_faults_are_read_as_typed(text: str, expected: Fault) -> None:
    assert parse_fault(text) == expected
    assert parse_fault(str(expected)) == expected


@pytest.mark.parametrize(
    "text", ["", "gremlin", "glitch@", "glitch@soon", "glitch@-1", "glitch@nan", "glitch@1e999"]
)
def test_what_is_no_fault_is_refused_in_a_sentence(text: str) -> None:
    if text == "glitch@":
        assert parse_fault(text) == fault("glitch")
        return
    with pytest.raises(ValueError, match=r"fault|time"):
        parse_fault(text)
