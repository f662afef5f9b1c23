"""The same seed and the same commands at the same device times give the same bytes, however time is cut up."""

from __future__ import annotations

import random
from typing import Any

import pytest

from firmware_protocol.codec import encode
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import ClearStop, Heartbeat, Identify, Move, Pull, Query, Stop, Stream, Zero
from firmware_protocol.vocabulary import PROTOCOL_VERSION, StopReason
from rig.simulated.board import SimulatedBoard
from rig.simulated.faults import KINDS, fault
from rig.simulated.settings import SimulationSettings
from rig.simulated.stage import Stage
from tests.rig.simulated.desk import FLOOR, FORCE_LIMIT

#: Device times [us] and what is sent then.
SCRIPT: tuple[tuple[int, Any], ...] = (
    (1, Identify(1, PROTOCOL_VERSION)),
    (200_123, Stream(2, 1)),
    (300_777, Zero(3)),
    (400_001, Pull(4, 16_000, 720_000, FORCE_LIMIT, FLOOR)),
    (4_000_500, Query(5)),
    (12_345_678, Stop(6)),
    (13_100_003, Pull(7, 16_000, 1_440_000, FORCE_LIMIT, FLOOR)),
    (24_000_000, ClearStop(8, StopReason.BREAK_SEEN)),
    (24_500_007, Move(9, 0, 6_000_000, FORCE_LIMIT)),
    (29_000_000, Zero(10)),
    (29_500_000, Pull(11, 16_000, 720_000, FORCE_LIMIT, FLOOR)),
)
END_US = 33_000_000
HEARTBEAT_US = 50_000


def session(settings: SimulationSettings, cut: random.Random | None = None) -> bytes:
    """The bytes of the whole script; `cut` cuts time up at random besides."""
    board = SimulatedBoard(settings)
    beats = [(at, Heartbeat()) for at in range(HEARTBEAT_US, END_US, HEARTBEAT_US)]
    out = b""
    now = 0
    for at, message in sorted([*SCRIPT, *beats, (END_US, Heartbeat())], key=lambda item: item[0]):
        while now < at:
            step = min(at - now, cut.choice((1, 137, 1000, 12_000, 40_000)) if cut else at - now)
            board.advance(step, step)
            now += step
            if cut:
                out += board.take_output()
        board.receive(encode_frame(encode(message)))
        out += board.take_output()
    return out


@pytest.mark.parametrize("strand", ["virgin", "slipping", "partial-break", "wet", "over-processed"])
def test_bytes_do_not_depend_on_how_time_is_cut_up(strand: str) -> None:
    settings = SimulationSettings(strand=strand, seed=5)
    whole = session(settings)
    assert len(whole) > 20_000
    assert session(settings, random.Random(1)) == whole


@pytest.mark.parametrize("name", KINDS)
def test_faults_are_deterministic_too(name: str) -> None:
    settings = SimulationSettings(seed=5, faults=(fault(name, 3.0),))
    assert session(settings, random.Random(2)) == session(settings)


def test_leaping_over_uneventful_quanta_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    settings = SimulationSettings(strand="virgin", seed=5)
    leaping = session(settings)
    monkeypatch.setattr(Stage, "uneventful_quanta", lambda self, break_mm: 1)
    assert session(settings) == leaping


def test_another_seed_gives_other_bytes() -> None:
    assert session(SimulationSettings(seed=5)) != session(SimulationSettings(seed=6))


def test_the_wall_clock_does_not_show_in_the_bytes() -> None:
    """Time scale changes nothing but how long the host may be silent."""
    slow, fast = SimulationSettings(seed=5, time_scale=0.5), SimulationSettings(seed=5, time_scale=100.0)
    assert session(slow) == session(fast)
