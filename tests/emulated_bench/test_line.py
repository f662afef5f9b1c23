# SPDX-License-Identifier: GPL-3.0-or-later
"""A bad line: bits flipped, frames cut, bytes made up, bursts, a line that is full. No wrong message is taken."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray

from firmware_protocol.bulk import read_bulk
from firmware_protocol.codec import encode
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import ClearStop, Heartbeat, Move, Stream
from firmware_protocol.vocabulary import EventCode, Flag, Result, StopReason
from tests.emulated_bench.host import MS, Host, gaps
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.strands import HIGH_LIMIT

#: Share of bytes with one wrong bit.
FLIPS = 0.005
MILLION = 1_000_000
#: Readings per second that fill four fifths of the line.
BUSY_HZ = 1000
#: More than the line can carry.
TOO_BUSY_HZ = 1600


def flipped(data: bytes, share: float, seed: int) -> bytes:
    """`data` with one wrong bit in this share of its bytes."""
    rng = np.random.default_rng(seed)
    noisy: NDArray[np.uint8] = np.frombuffer(data, np.uint8).copy()
    hit = np.flatnonzero(rng.random(len(noisy)) < share)
    noisy[hit] ^= (1 << rng.integers(0, 8, len(hit))).astype(np.uint8)
    return noisy.tobytes()


def keep_alive(rig: EmulatedRig, ms: int) -> bytes:
    """Let the board run and hear a heartbeat now and then; what it sends meanwhile."""
    heartbeat, said = encode_frame(encode(Heartbeat())), bytearray()
    for _ in range(0, ms, 100):
        rig.send(heartbeat)
        rig.run_to(rig.now_ns + 100 * MS)
        said += rig.receive()
    return bytes(said)


def test_no_wrong_frame_in_a_million(rig: EmulatedRig, host: Host) -> None:
    """Twenty seconds of the board's own stream, damaged anew for each round; every loss shows in the numbers."""
    rig.set("rate_hz", BUSY_HZ)
    rig.set("noise_counts", 20_000)
    host.expect(Move(0, 40_000, 1_000_000, HIGH_LIMIT))
    said = keep_alive(rig, 20_000)
    said = said[said.index(0) + 1 :]
    sent = read_bulk(said).samples
    first = int(sent["seq"][0])
    assert np.array_equal(sent["seq"], np.arange(first, first + len(sent)))
    assert len(sent) > 19_000
    rounds = -(-MILLION // len(sent))
    for seed in range(rounds):
        heard = read_bulk(flipped(said, FLIPS, seed))
        assert heard.others == ()
        assert np.array_equal(heard.samples, sent[heard.samples["seq"] - first])
        lost = int(np.sum(np.diff(heard.samples["seq"]) - 1))
        between = int(heard.samples["seq"][-1]) - int(heard.samples["seq"][0]) + 1
        assert lost == between - len(heard.samples) > 0
        assert len(heard.bad) > 0


@pytest.mark.parametrize("share", [0.001, 0.005, 0.02])
def test_flips_towards_the_host(rig: EmulatedRig, host: Host, share: float) -> None:
    """The session counts what it lost, and takes nothing wrong."""
    rig.set("rate_hz", 320)
    before = len(host.samples)
    host.take(flipped(keep_alive(rig, 10_000), share, seed=3))
    host.take(keep_alive(rig, 100))
    readings = {reading.counts for reading in rig.readings()}
    assert all(sample.counts in readings for sample in host.samples)
    new = host.samples[before:]
    assert gaps(new) == host.lost > 0
    assert len(new) + host.lost == new[-1].seq - new[0].seq + 1
    assert host.bad_frames > 0


@pytest.mark.parametrize("share", [0.001, 0.005, 0.02])
def test_flips_towards_the_board(rig: EmulatedRig, host: Host, share: float) -> None:
    """Each command is repeated until it is answered, with no answer of another one taken for its own."""
    rng = Random(11)

    def noisy(data: bytes) -> bytes:
        return bytes(byte ^ 1 << rng.randrange(8) if rng.random() < share else byte for byte in data)

    for number in range(200):
        host.send(noisy(host.session.request(ClearStop(0, StopReason.NONE))))
        host.run(20)
        for _ in range(10):
            if host.session.outstanding is None:
                break
            host.send(noisy(host.session.repeat()))
            host.run(20)
        assert host.session.outstanding is None, number
    host.rig.send(b"\0")
    status = host.status()
    assert status.bad_frames <= 600 * 12 * share + 10
    assert status.bad_frames > 0
    assert status.flags >> 8 == StopReason.NONE


def test_cable_cut_in_the_middle_of_a_frame(rig: EmulatedRig, host: Host) -> None:
    """Half a Move is none; the motor stops for silence; another host finds the reason latched, and goes on."""
    host.expect(Move(0, 40_000, 2_000_000, HIGH_LIMIT))
    host.run(400)
    host.silent = True
    frame = host.session.request(Move(0, 0, 8_000_000, HIGH_LIMIT))
    host.rig.send(frame[: len(frame) // 2])
    cut_ns = rig.now_ns
    rig.run_to(cut_ns + 2000 * MS)
    rig.receive()  # nobody hears it
    assert rig.steps()[-1].ns <= cut_ns + 502 * MS
    stopped = rig.get("position")

    other = Host(rig)
    other.identify()
    status = other.status()
    assert status.flags >> 8 == StopReason.HOST_SILENT
    assert status.bad_frames == 1
    assert status.steps == stopped
    other.expect(Move(0, 0, 4_000_000, HIGH_LIMIT), Result.LATCHED)
    other.clear(StopReason.HOST_SILENT)
    other.expect(Stream(0, 1))
    other.expect(Move(0, 0, 4_000_000, HIGH_LIMIT))
    other.run_until(EventCode.MOVE_DONE)
    assert rig.get("position") == 0


def test_random_bytes_while_moving(rig: EmulatedRig, host: Host) -> None:
    """They are no sign of life, they stop nothing before its time, and no sample is lost."""
    rng = Random(5)
    host.expect(Move(0, 40_000, 4_000_000, HIGH_LIMIT))
    host.run(300)
    host.silent = True
    start_ns = rig.now_ns
    for _ in range(50):
        rig.send(rng.randbytes(100))
        host.run(10)
    host.run_until(EventCode.HOST_SILENT, 200)
    assert 380 * MS <= rig.steps()[-1].ns - start_ns <= 502 * MS
    host.silent = False
    assert gaps(host.samples) == 0
    assert host.latched is StopReason.HOST_SILENT


def test_random_bytes_never_starve_the_motor(rig: EmulatedRig, host: Host) -> None:
    """The line full of rubbish both ways, the motor at its highest speed: it makes all its steps, evenly."""
    rng = Random(6)
    rig.set("rate_hz", 320)
    host.expect(Move(0, 30_000, 8_000_000, HIGH_LIMIT))
    for _ in range(200):
        rig.send(b"\0" + encode_frame(encode(Heartbeat())) + rng.randbytes(200) + b"\0")
        host.run(10)
    steps = [step.ns for step in rig.steps()]
    assert len(steps) > 10_000
    middle = [b - a for a, b in pairwise(steps[8000:10_000])]
    assert max(abs(gap - 125_000) for gap in middle) <= 40_000
    assert gaps(host.samples) == 0


@pytest.mark.parametrize("rate", [80, 320])
def test_burst_of_commands(rig: EmulatedRig, host: Host, rate: int) -> None:
    """400 commands without a pause: each is answered, and readings that find no room meanwhile are counted."""
    rig.set("rate_hz", rate)
    host.expect(Move(0, 30_000, 8_000_000, HIGH_LIMIT))
    host.run(1100)
    assert gaps(host.samples) == 0
    before = host.session.counters.stray_answers
    burst = b"".join(encode_frame(encode(ClearStop(1 + n % 255, StopReason.DONE))) for n in range(400))
    rig.send(burst)
    host.run(400)
    assert host.session.counters.stray_answers - before == 400
    assert host.samples[-1].flags & Flag.MOVING
    assert gaps(host.samples) == host.status().dropped


def test_a_full_line_drops_readings_and_says_so(rig: EmulatedRig, host: Host) -> None:
    """More readings than the line carries: answers still come, and what was dropped is counted and told."""
    rig.set("rate_hz", TOO_BUSY_HZ)
    host.run(2000)
    status = host.status()
    assert status.dropped > 100
    host.expect(Stream(0, 0))
    host.run(100)
    told = [sample for sample in host.samples if sample.flags & Flag.READINGS_DROPPED]
    assert told
    numbers = [sample.seq for sample in host.samples]
    for before, sample in pairwise(host.samples):
        assert (sample.seq != before.seq + 1) == bool(sample.flags & Flag.READINGS_DROPPED)
    assert numbers[-1] - numbers[0] + 1 == len(numbers) + gaps(host.samples)
    assert host.bad_frames == 0
