# SPDX-License-Identifier: GPL-3.0-or-later
"""Time on the emulated chip: every phase of timer and readings, the wrap of its count, a wrong oscillator."""

from __future__ import annotations

from itertools import pairwise

import pytest

from firmware_protocol.messages import Move, Pull, Sample
from firmware_protocol.vocabulary import HEARTBEAT_MS, HOST_SILENCE_MS, EventCode, StopReason
from tests.emulated_bench.host import MS, Host, gaps
from tests.emulated_bench.rigs import EmulatedRig, Reading
from tests.emulated_bench.strands import BREAK_STEPS, FLOOR, HIGH_LIMIT, mount

#: A rate that shares no period with the millisecond or the timer's turn of 32.768 ms [Hz].
ODD_HZ = 317.3
#: Spread of the time stamps [us]: interrupts that were already running when a reading became ready.
SPREAD_US = 25
US_WRAP = 2**32
#: One turn of the 16-bit timer at 2 MHz, and one cycle of the chip [ns].
TURN_NS, CYCLE_NS = 32_768_000, 62.5
#: The turn falls somewhere within so many cycles.
SWEPT_CYCLES = 300


def with_truth(rig: EmulatedRig, host: Host) -> list[tuple[Sample, Reading]]:
    """Each sample with the reading it stands for; none is lost, so that counting back from the last will do."""
    samples, readings = host.samples, rig.readings()
    last = min(range(len(readings)), key=lambda at: abs(readings[at].ns / 1000 - samples[-1].t_us))
    first = last - len(samples) + 1
    return list(zip(samples, readings[first : last + 1], strict=True))


def timer_started_ns(rig: EmulatedRig, host: Host) -> int:
    """True time at which the board's time was 0, to a few microseconds."""
    host.run(50)
    sample, reading = with_truth(rig, host)[-1]
    return reading.ns - sample.t_us * 1000


@pytest.mark.parametrize("speed", [0, 700])
def test_sixty_seconds_through_every_phase(rig: EmulatedRig, host: Host, speed: int) -> None:
    """No stamp is a turn of the timer off, none runs backwards, whether the motor runs or not."""
    rig.set("rate_hz", ODD_HZ)
    host.slice_ms = HEARTBEAT_MS
    if speed:
        host.expect(Move(0, 45_000, speed * 1000, HIGH_LIMIT))
    host.run(60_000)
    assert gaps(host.samples) == 0
    pairs = with_truth(rig, host)
    late_us = [sample.t_us - reading.ns / 1000 for sample, reading in pairs]
    assert len(pairs) > 59 * ODD_HZ
    assert max(late_us) - min(late_us) <= SPREAD_US
    assert {sample.steps - reading.position for sample, reading in pairs} <= {0, 1}
    assert all(a.t_us < b.t_us for a, b in pairwise(host.samples))


def test_readings_round_the_turn_of_the_timer_cycle_by_cycle(rig: EmulatedRig, host: Host) -> None:
    """Each reading comes a turn of the timer and one cycle after the one before, until the turn has passed by."""
    turn_ns = timer_started_ns(rig, host)
    turns_ahead = (rig.now_ns - turn_ns) // TURN_NS + 3
    rig.set("rate_hz", 1e9 / (TURN_NS + CYCLE_NS))
    rig.set("next_conversion_ns", turn_ns + turns_ahead * TURN_NS - SWEPT_CYCLES // 2 * CYCLE_NS)
    host.run(TURN_NS / MS * (SWEPT_CYCLES + 5))
    pairs = with_truth(rig, host)[-SWEPT_CYCLES:]
    late_us = [sample.t_us - reading.ns / 1000 for sample, reading in pairs]
    assert max(late_us) - min(late_us) <= SPREAD_US


def test_the_microseconds_wrap(rig: EmulatedRig, host: Host) -> None:
    """After 71 minutes: reached by setting the count of the timer's turns ahead."""
    rig.poke("overflows", (US_WRAP // 32_768 - 40).to_bytes(4, "little"))
    before = len(host.samples)
    host.run(3000)
    stamps = [sample.t_us for sample in host.samples[before + 1 :]]
    assert max(stamps) > US_WRAP - 20_000
    assert min(stamps) < 20_000
    assert all(12_480 <= (b - a) % US_WRAP <= 12_520 for a, b in pairwise(stamps))
    assert gaps(host.samples) == 0


@pytest.mark.parametrize("ppm", [-10_000, 0, 10_000])
def test_an_oscillator_that_is_off(ppm: int) -> None:
    """A ceramic resonator: the board's seconds are 1 % wrong, and so are its speed and its patience; no more is."""
    rig = EmulatedRig()
    rig.set("clock_ppm", ppm)
    ratio = 1 + ppm * 1e-6
    host = Host(rig)
    host.begin()
    mount(rig)
    host.expect(Pull(0, 40_000, 4_000_000, HIGH_LIMIT, FLOOR))
    event = host.run_until(EventCode.BREAK_SEEN)
    assert 0 <= event.steps - BREAK_STEPS <= 7 * 4000 * ratio / 80
    assert gaps(host.samples) == 0
    samples = host.samples
    true_s = (samples[-1].seq - samples[0].seq) / 80
    board_s = (samples[-1].t_us - samples[0].t_us) * 1e-6
    assert board_s / true_s == pytest.approx(ratio, abs=2e-5)
    steps = rig.steps()
    middle = steps[len(steps) // 3 : len(steps) * 2 // 3]
    true_speed = (len(middle) - 1) / ((middle[-1].ns - middle[0].ns) * 1e-9)
    assert true_speed == pytest.approx(4000 * ratio, rel=1e-4)

    host.clear(StopReason.BREAK_SEEN)
    host.expect(Move(0, 0, 2_000_000, HIGH_LIMIT))
    host.run(300)
    host.silent = True
    heard_ns = host.last_sent_ns
    host.run_until(EventCode.HOST_SILENT, 1000)
    silent_ms = (rig.steps()[-1].ns - heard_ns) / MS
    assert silent_ms * ratio == pytest.approx(HOST_SILENCE_MS, abs=3)
    rig.close()
