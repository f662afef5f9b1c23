# SPDX-License-Identifier: GPL-3.0-or-later
"""The image that is flashed, in lockstep: whole pulls, what a sample says, what line and chip have to spare."""

from __future__ import annotations

import subprocess
from itertools import pairwise

import pytest

from firmware_protocol.messages import Home, Move, Pull, Zero
from firmware_protocol.vocabulary import BoardState, EventCode, Flag, StopReason
from tests.emulated_bench import build
from tests.emulated_bench.host import MS, Host, gaps
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.strands import BREAK_STEPS, COUNTS_PER_N, FLOOR, HIGH_LIMIT, mount

FLASH_BYTES, RAM_BYTES, RAM_START = 32_768, 2_048, 0x100
#: Share of flash and RAM that the firmware may take.
BUDGET = 0.60
#: By how much the time stamps are early [us]: the time from power-on to the start of the timer.
STAMP_OFFSET_US = (200, 450)
#: Spread of the time stamps about that offset: other interrupts that were running [us].
STAMP_SPREAD_US = 25
#: A clock pulse of 60 us would switch the amplifier off; one that no interrupt can stretch stays far below it [ns].
LONGEST_CLOCK_NS = 2000


def pull(host: Host, speed_steps_s: int = 4000) -> None:
    host.expect(Zero(0))
    host.expect(Pull(0, 40_000, speed_steps_s * 1000, HIGH_LIMIT, FLOOR))


def test_a_pull_ends_at_the_break_with_no_sample_lost(rig: EmulatedRig, host: Host) -> None:
    rig.set("offset_counts", 50_000)
    rig.set("noise_counts", 120)
    mount(rig)
    host.run(200)
    pull(host)
    event = host.run_until(EventCode.BREAK_SEEN)
    host.run(100)
    assert host.latched is StopReason.BREAK_SEEN
    assert gaps(host.samples) == 0
    assert host.lost == host.bad_frames == 0
    assert host.status().state == BoardState.LATCHED
    # The filter smears the fall over 4 readings; a median of 3 and 3 confirmations come on top: 7 readings at most.
    assert rig.get("position") == event.steps
    assert 0 <= event.steps - BREAK_STEPS <= 7 * 4000 / 80
    peak = max(sample.counts for sample in host.samples) - 50_000
    assert peak == pytest.approx(COUNTS_PER_N, rel=0.02)


@pytest.mark.parametrize("speed", [1000, 8000])
def test_every_sample_is_what_the_amplifier_had(rig: EmulatedRig, host: Host, speed: int) -> None:
    """Counts to the last bit; time and steps of the moment at which the reading became ready."""
    rig.set("noise_counts", 5000)
    mount(rig)
    pull(host, speed)
    host.run_until(EventCode.BREAK_SEEN)
    truth = {reading.ns // 1000: reading for reading in rig.readings()}
    stamps = sorted(truth)
    offsets, late = [], 0
    for sample in host.samples:
        true_us = min(stamps, key=lambda us: abs(us - sample.t_us - STAMP_OFFSET_US[0]))
        offsets.append(true_us - sample.t_us)
        assert sample.counts == truth[true_us].counts
        assert sample.steps - truth[true_us].position in (0, 1)
        late += sample.steps - truth[true_us].position
    assert STAMP_OFFSET_US[0] <= min(offsets)
    assert max(offsets) <= STAMP_OFFSET_US[1]
    assert max(offsets) - min(offsets) <= STAMP_SPREAD_US
    # Now and then a step is made between the reading and the interrupt that takes the counter.
    assert late <= len(offsets) * speed * STAMP_SPREAD_US * 1e-6
    assert min(sample.counts for sample in host.samples) < 0
    assert rig.get("longest_clock_ns") <= LONGEST_CLOCK_NS


def test_the_same_pull_twice_is_the_same_to_the_last_bit() -> None:
    def recording() -> list[object]:
        rig = EmulatedRig()
        rig.set("noise_counts", 200)
        host = Host(rig)
        host.begin()
        mount(rig)
        pull(host)
        host.run_until(EventCode.BREAK_SEEN)
        rig.close()
        return [told.event for told in host.told]

    assert recording() == recording()


@pytest.mark.parametrize("speed", [60, 240, 1000, 4000, 8000])
def test_a_move_goes_exactly_where_it_was_sent_at_its_speed(rig: EmulatedRig, host: Host, speed: int) -> None:
    distance = max(100, speed * 3 // 2)
    host.expect(Move(0, distance, speed * 1000, HIGH_LIMIT))
    event = host.run_until(EventCode.MOVE_DONE, 10_000)
    assert event.steps == rig.get("position") == distance
    steps = rig.steps()
    assert len(steps) == distance
    # At constant speed: the middle third. A step comes within 25 us of its time: other interrupts.
    middle = steps[distance * 2 // 5 : distance * 3 // 5]
    took_s = (middle[-1].ns - middle[0].ns) * 1e-9
    assert took_s == pytest.approx((len(middle) - 1) / speed, abs=50e-6)
    jitter = max(abs(b.ns - a.ns - 1e9 / speed) for a, b in pairwise(middle))
    assert jitter <= 25_000
    assert rig.get("shortest_pulse_ns") >= 1900
    assert rig.get("shortest_gap_ns") >= 1e9 / 8000 - 25_000


def test_there_and_back_and_home(rig: EmulatedRig, host: Host) -> None:
    rig.set("near_at", -500)
    host.expect(Move(0, 800, 4_000_000, HIGH_LIMIT))
    host.run_until(EventCode.MOVE_DONE)
    host.expect(Move(0, 0, 4_000_000, HIGH_LIMIT))
    host.run_until(EventCode.MOVE_DONE)
    assert rig.get("position") == 0
    host.expect(Home(0, 2_000_000))
    event = host.run_until(EventCode.HOMED)
    assert event.steps == 0
    assert rig.get("position") == -500
    host.run(50)
    assert host.samples[-1].flags & (Flag.HOMED | Flag.NEAR_LIMIT) == Flag.HOMED | Flag.NEAR_LIMIT
    assert host.latched is StopReason.DONE
    assert rig.get("shortest_setup_ns") >= 5000


def test_flash_ram_and_stack_stay_within_their_budget(rig: EmulatedRig, host: Host) -> None:
    """The stack is measured where it is deepest: motion at full speed, line and readings busy."""
    rig.set("rate_hz", 320)
    host.expect(Move(0, 8000, 8_000_000, HIGH_LIMIT))
    for _ in range(20):
        host.status()
    host.identify()
    said = subprocess.run(["avr-size", str(rig.image)], capture_output=True, text=True, check=True).stdout
    text, data, bss = (int(word) for word in said.splitlines()[1].split()[:3])
    untouched = rig.untouched_ram(RAM_START + data + bss)
    assert text + data <= BUDGET * FLASH_BYTES
    assert 0 < RAM_BYTES - untouched <= BUDGET * RAM_BYTES


def test_the_line_is_exact(rig: EmulatedRig) -> None:
    """250000 baud at 16 MHz: divisor 3, no remainder (data sheet of the ATmega328P, table of UBRR settings)."""
    assert 16_000_000 / (16 * (3 + 1)) == 250_000
    said = subprocess.run(["avr-objdump", "-d", str(rig.image)], capture_output=True, text=True, check=True).stdout
    assert "0x00C4" in said.replace("0x00c4", "0x00C4"), "UBRR0 is written"


def test_the_board_starts_counting_and_never_forgets(rig: EmulatedRig) -> None:
    counts = []
    for _ in range(260):
        rig.reset()
        host = Host(rig)
        host.run(20)
        counts.append(host.identify().boot_count)
    assert [(b - a) % 65536 for a, b in pairwise(counts)] == [1] * 259


def test_time_is_that_of_the_chip(rig: EmulatedRig, host: Host) -> None:
    host.run(1000)
    status = host.status()
    assert 0 <= rig.now_ns / 1000 - status.t_us <= 10_000
    assert rig.now_ns > 1000 * MS
    assert build.symbol(rig.image, "main") > 0
