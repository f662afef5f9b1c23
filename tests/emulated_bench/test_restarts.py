# SPDX-License-Identifier: GPL-3.0-or-later
"""A main loop that hangs, a watchdog, a reset, power lost: what the motor does, and what the board says then."""

from __future__ import annotations

import pytest

from firmware_protocol.messages import Identity, Move, Pull
from firmware_protocol.vocabulary import EventCode, Flag, Result, StopReason
from tests.emulated_bench.host import MS, Host
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.strands import FLOOR, HIGH_LIMIT, mount
from tests.emulated_bench.test_stops import BYTE_NS, INTERRUPTS_NS, PLANNED_NS, QUANTUM_NS, set_off, steps_after

WATCHDOG_MS = 250
#: What the main loop calls at least once a millisecond, and no interrupt does.
MAIN_LOOP = "thin_now_us"


@pytest.mark.parametrize("phase_us", [0, 130, 500, 770, 999])
def test_main_loop_that_hangs(rig: EmulatedRig, host: Host, phase_us: int) -> None:
    """No step but those planned; the watchdog starts the board again, which says why."""
    set_off(host, 8000)
    rig.run_to(rig.now_ns + phase_us * 1000)
    hung_ns = rig.now_ns
    rig.hang(MAIN_LOOP)
    rig.run_to(hung_ns + 20 * MS)
    assert max(steps_after(rig, hung_ns), default=hung_ns) - hung_ns <= PLANNED_NS + QUANTUM_NS
    rig.run_to(hung_ns + (WATCHDOG_MS + 60) * MS)
    rig.hang(MAIN_LOOP, False)
    host.run(500)
    assert rig.get("driver_off") == 1
    assert host.codes[-1] is EventCode.BOOT
    assert host.rebooted
    host.identify()
    status = host.status()
    assert status.flags >> 8 == StopReason.MAIN_LOOP_HUNG
    assert not status.flags & Flag.HOMED
    host.expect(Move(0, 0, 1_000_000, HIGH_LIMIT), Result.LATCHED)


def test_main_loop_that_hangs_for_a_moment(rig: EmulatedRig, host: Host) -> None:
    """Shorter than the watchdog: the motor stands all the same, and the reason is latched without a restart."""
    set_off(host)
    rig.hang(MAIN_LOOP)
    rig.run_to(rig.now_ns + 60 * MS)
    rig.hang(MAIN_LOOP, False)
    host.run(50)
    assert host.latched is StopReason.MAIN_LOOP_HUNG
    assert EventCode.BOOT not in host.codes[1:]


def test_interrupts_that_hang(rig: EmulatedRig, host: Host) -> None:
    """A program stuck with interrupts off makes no step; the watchdog starts the board again."""
    set_off(host)
    rig.hang("__vector_18")  # the interrupt of a received byte
    hung_ns = rig.now_ns
    rig.send(b"\0")
    rig.run_to(hung_ns + (WATCHDOG_MS + 60) * MS)
    assert max(steps_after(rig, hung_ns), default=hung_ns) - hung_ns <= 2 * BYTE_NS + INTERRUPTS_NS
    rig.hang("__vector_18", False)
    rig.run_to(rig.now_ns + 500 * MS)
    host.take(rig.receive())
    host.identify()
    assert host.latched is StopReason.RESET


def test_main_loop_that_hangs_standing(rig: EmulatedRig, host: Host) -> None:
    """Nothing moved, so nothing is latched; the host sees the restart all the same."""
    rig.hang(MAIN_LOOP)
    rig.run_to(rig.now_ns + (WATCHDOG_MS + 60) * MS)
    rig.hang(MAIN_LOOP, False)
    host.run(500)
    assert host.rebooted
    host.identify()
    assert host.latched is StopReason.NONE


def test_reset_in_the_middle_of_a_pull(rig: EmulatedRig, host: Host) -> None:
    """RAM is kept, as after a brown-out or a press of the reset button."""
    before = host.session.identity
    mount(rig)
    host.expect(Pull(0, 40_000, 2_000_000, HIGH_LIMIT, FLOOR))
    host.run(1000)
    reset_ns = rig.now_ns
    rig.reset()
    host.run(300)
    assert steps_after(rig, reset_ns) == []
    assert rig.get("driver_off") == 1
    assert host.rebooted
    identity = host.identify()
    assert isinstance(before, Identity)
    assert identity.boot_count == (before.boot_count + 1) % 65536
    assert host.latched is StopReason.RESET
    host.expect(Move(0, 10, 1_000_000, HIGH_LIMIT), Result.LATCHED)


def test_power_lost_in_the_middle_of_a_move(rig: EmulatedRig, host: Host) -> None:
    """RAM holds anything: no reason is made up, but nothing moves before the host has identified itself."""
    set_off(host)
    off_ns = rig.now_ns
    rig.reset(power_lost=True)
    host.run(300)
    assert steps_after(rig, off_ns) == []
    host.identify()
    status = host.status()
    assert status.flags >> 8 == StopReason.NONE
    assert not status.flags & Flag.HOMED
