# SPDX-License-Identifier: GPL-3.0-or-later
"""What stops the motor, with the time to the last step held against a stated bound. True times, by the world."""

from __future__ import annotations

import pytest

from firmware_protocol.messages import Ack, Home, Move, Pull, Stop
from firmware_protocol.vocabulary import HOST_SILENCE_MS, EventCode, Flag, Result, StopReason
from tests.emulated_bench.host import MS, Host
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.strands import BREAK_STEPS, FLOOR, HIGH_LIMIT, mount

#: A byte takes 11 bits at 250 kbaud here [ns].
BYTE_NS = 44_000
QUANTUM_NS = MS
#: Steps are planned so far ahead [ns].
PLANNED_NS = 2 * MS
ACCELERATION_STEPS_S2 = 8000
SENSOR_TIMEOUT_MS = 600
#: The step interrupt and those it may wait for [ns].
INTERRUPTS_NS = 30_000


def set_off(host: Host, speed_steps_s: int = 4000, target: int = 40_000) -> None:
    """Start a move and come to constant speed."""
    host.expect(Move(0, target, speed_steps_s * 1000, HIGH_LIMIT))
    host.run(speed_steps_s / ACCELERATION_STEPS_S2 * 1000 + 100)
    assert host.samples[-1].flags & Flag.MOVING


def steps_after(rig: EmulatedRig, ns: int) -> list[int]:
    """Times of the steps after a moment [ns]."""
    return [step.ns for step in rig.steps() if step.ns > ns]


def set_off_and_reach(rig: EmulatedRig, phase_ns: int) -> int:
    """Come to constant speed, then to a moment so long after a step [ns]."""
    host = Host(rig)
    host.begin()
    set_off(host)
    rig.run_to(rig.steps()[-1].ns + 10 * 250_000 + phase_ns)
    return rig.now_ns


@pytest.mark.parametrize("phase_us", range(0, 250, 4))
def test_emergency_stop_at_every_phase_of_a_step(rig: EmulatedRig, phase_us: int) -> None:
    """At most one step more, and that within the interrupt that was already on its way."""
    pressed_ns = set_off_and_reach(rig, phase_us * 1000)
    rig.set("emergency", 1)
    rig.run_to(pressed_ns + 100 * MS)
    late = steps_after(rig, pressed_ns)
    assert len(late) <= 1
    assert all(ns - pressed_ns <= INTERRUPTS_NS for ns in late)
    assert rig.get("driver_off") == 1
    rig.set("emergency", 0)
    rig.run_to(pressed_ns + 200 * MS)
    assert steps_after(rig, pressed_ns) == late


def test_emergency_stop_latches_and_forgets_the_position(rig: EmulatedRig, host: Host) -> None:
    rig.set("near_at", -100)
    host.expect(Home(0, 2_000_000))
    host.run_until(EventCode.HOMED)
    set_off(host)
    rig.set("emergency", 1)
    rig.run_to(rig.now_ns + 10_000)  # ten microseconds: a short press counts
    rig.set("emergency", 0)
    host.run(50)
    assert host.codes[-1] is EventCode.EMERGENCY_STOP
    assert host.latched is StopReason.EMERGENCY_STOP
    assert not host.samples[-1].flags & (Flag.HOMED | Flag.MOVING)
    host.expect(Move(0, 0, 1_000_000, HIGH_LIMIT), Result.LATCHED)
    host.clear(StopReason.EMERGENCY_STOP)
    host.expect(Move(0, 0, 1_000_000, HIGH_LIMIT))


@pytest.mark.parametrize("phase_us", range(0, 250, 8))
def test_limit_switch_at_every_phase_of_a_step(rig: EmulatedRig, phase_us: int) -> None:
    pressed_ns = set_off_and_reach(rig, phase_us * 1000)
    rig.set("far_held", 1)
    rig.run_to(pressed_ns + 50 * MS)
    late = steps_after(rig, pressed_ns)
    assert len(late) <= 1
    assert all(ns - pressed_ns <= INTERRUPTS_NS for ns in late)


def test_limit_switch_hit_at_full_speed(rig: EmulatedRig, host: Host) -> None:
    """The stage presses it: no step is made beyond the one that did."""
    rig.set("far_at", 6000)
    host.expect(Move(0, 40_000, 8_000_000, HIGH_LIMIT))
    event = host.run_until(EventCode.LIMIT_SWITCH)
    assert event.steps == rig.get("position") == 6000
    host.expect(Move(0, 40_000, 1_000_000, HIGH_LIMIT), Result.LATCHED)
    host.clear(StopReason.LIMIT_SWITCH)
    host.expect(Move(0, 40_000, 1_000_000, HIGH_LIMIT), Result.AT_LIMIT)
    host.expect(Move(0, 5000, 1_000_000, HIGH_LIMIT))
    host.run_until(EventCode.MOVE_DONE)
    assert rig.get("position") == 5000


@pytest.mark.parametrize("wait_ms", [100, 133.3, 170.7])
def test_silent_host(rig: EmulatedRig, host: Host, wait_ms: float) -> None:
    """Within 500 ms and a quantum of the last undamaged frame."""
    set_off(host)
    host.run(wait_ms)
    host.silent = True
    host.send(host.session.heartbeat())
    heard_ns = host.last_sent_ns + (len(host.session.heartbeat()) + 1) * BYTE_NS
    event = host.run_until(EventCode.HOST_SILENT, 1000)
    last_ns = rig.steps()[-1].ns
    assert (
        HOST_SILENCE_MS * MS - 2 * QUANTUM_NS
        <= last_ns - heard_ns
        <= HOST_SILENCE_MS * MS + QUANTUM_NS + INTERRUPTS_NS
    )
    assert event.steps == rig.get("position")


@pytest.mark.parametrize("speed", [100, 1000, 4000, 8000])
def test_stop_command_slows_down(rig: EmulatedRig, host: Host, speed: int) -> None:
    """Last step within speed / acceleration, the planned 2 ms and the command's way over the line; no step lost."""
    set_off(host, speed)
    sent_ns = rig.now_ns
    before = rig.get("position")
    host.stop()
    event = host.run_until(EventCode.STOPPED, 3000)
    way_ns = 8 * BYTE_NS
    bound_ns = speed / ACCELERATION_STEPS_S2 * 1e9 + PLANNED_NS + QUANTUM_NS + way_ns
    assert rig.steps()[-1].ns - sent_ns <= bound_ns
    ramp_steps = speed**2 / (2 * ACCELERATION_STEPS_S2)
    assert event.steps - before <= ramp_steps + speed * (PLANNED_NS + QUANTUM_NS + way_ns) * 1e-9 + 1
    assert event.steps == rig.get("position")
    assert host.latched is StopReason.COMMAND


@pytest.mark.parametrize("after_ms", [0, 1, 5, 40, 400, 1200])
def test_stop_is_taken_at_any_load(rig: EmulatedRig, host: Host, after_ms: int) -> None:
    """1000 readings a second fill the line, the motor at its highest speed, and other commands before the Stop."""
    rig.set("rate_hz", 1000)
    host.expect(Move(0, 40_000, 8_000_000, HIGH_LIMIT))
    host.run(after_ms)
    for _ in range(4):
        host.send(host.session.heartbeat())
    host.send(host.session.request(Stop(0)))
    sent_ns = rig.now_ns
    answer = host.wait_for_answer()
    assert isinstance(answer, Ack)
    assert answer.result == Result.OK
    host.run_until(EventCode.STOPPED, 3000)
    assert rig.steps()[-1:] == [] or rig.steps()[-1].ns - sent_ns <= 1e9 + 10 * MS


def test_force_limit(rig: EmulatedRig, host: Host) -> None:
    """A reading later than the force: the filter's four, the median's one, and the reading under way."""
    rig.strand([(0, 0), (10_000, 1_000_000)], 1e9)
    host.expect(Move(0, 9000, 1_000_000, 400_000))
    event = host.run_until(EventCode.FORCE_LIMIT)
    assert host.latched is StopReason.FORCE_LIMIT
    assert 0 <= event.steps - 4000 <= (4 + 1 + 1) * 1000 / 80
    assert event.steps == rig.get("position")


def test_break(rig: EmulatedRig, host: Host) -> None:
    mount(rig)
    host.expect(Pull(0, 40_000, 2_000_000, HIGH_LIMIT, FLOOR))
    event = host.run_until(EventCode.BREAK_SEEN)
    readings = (rig.steps()[-1].ns - rig.get("broke_ns")) / (1e9 / 80)
    assert readings <= 7
    assert 0 <= event.steps - BREAK_STEPS <= 7 * 2000 / 80


def test_glitches_do_not_stop_a_pull(rig: EmulatedRig, host: Host) -> None:
    rig.strand([(0, 0), (30_000, 900_000)], 1e9)
    host.expect(Pull(0, 2000, 1_000_000, HIGH_LIMIT, FLOOR))
    for _ in range(10):
        rig.set("glitch", 1)
        host.run(130)
    host.run_until(EventCode.MOVE_DONE)
    assert sum(bool(s.flags & Flag.SATURATED) for s in host.samples) == 10


def test_silent_amplifier(rig: EmulatedRig, host: Host) -> None:
    set_off(host, 1000)
    rig.set("silent", 1)
    host.run_until(EventCode.SENSOR_FAULT, 2000)
    late_ms = (rig.steps()[-1].ns - rig.readings()[-1].ns) / MS
    assert SENSOR_TIMEOUT_MS - 2 <= late_ms <= SENSOR_TIMEOUT_MS + 1
    host.clear(StopReason.SENSOR_FAULT)
    host.expect(Move(0, 0, 1_000_000, HIGH_LIMIT), Result.SENSOR_NOT_READY)
    rig.set("silent", 0)
    host.run(50)
    host.expect(Move(0, 0, 1_000_000, HIGH_LIMIT))


@pytest.mark.parametrize("wire_at", [0, 1])
def test_amplifier_with_a_cut_wire(rig: EmulatedRig, host: Host, wire_at: int) -> None:
    """The data pin stays high (pull-up) or low (short): no reading may come of it."""
    set_off(host, 1000)
    rig.set("data_stuck", 1 + wire_at)
    host.run_until(EventCode.SENSOR_FAULT, 2000)
    assert all(sample.counts == 0 for sample in host.samples)


def test_no_step_without_the_driver_and_no_direction_without_setup(rig: EmulatedRig, host: Host) -> None:
    for target in (500, 0, 700, -300):
        host.expect(Move(0, target, 8_000_000, HIGH_LIMIT))
        host.run_until(EventCode.MOVE_DONE)
    assert rig.get("steps_while_off") == 0
    assert rig.get("shortest_setup_ns") >= 5000
    assert rig.get("position") == -300
