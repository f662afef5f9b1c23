# SPDX-License-Identifier: GPL-3.0-or-later
"""Ten simulated minutes at each rate of the amplifier, in a file of its own since they take a while."""

from __future__ import annotations

from itertools import pairwise

import pytest

from firmware_protocol.messages import Move
from firmware_protocol.vocabulary import HEARTBEAT_MS
from tests.emulated_bench.host import Host, gaps
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.strands import HIGH_LIMIT
from tests.emulated_bench.test_pulls import STAMP_SPREAD_US


@pytest.mark.parametrize("rate", [80, 320])
def test_ten_minutes_without_a_lost_sample(rig: EmulatedRig, host: Host, rate: int) -> None:
    """In two of them the motor runs, so that steps and readings get into each other's way."""
    rig.set("rate_hz", rate)
    host.slice_ms = HEARTBEAT_MS
    for minute in range(10):
        if minute in (2, 7):
            host.expect(Move(0, 24_000 if minute == 2 else 0, 900_000, HIGH_LIMIT))
        host.run(60_000)
    samples = host.samples
    assert gaps(samples) == 0
    assert host.lost == host.bad_frames == 0
    assert len(samples) >= 600 * rate
    intervals = {b.t_us - a.t_us for a, b in pairwise(samples)}
    assert max(abs(interval - 1e6 / rate) for interval in intervals) <= STAMP_SPREAD_US
    status = host.status()
    assert (status.dropped, status.bad_frames) == (0, 0)
    assert rig.get("overrun") == rig.get("switched_off") == 0
