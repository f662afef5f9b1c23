# SPDX-License-Identifier: GPL-3.0-or-later
"""Three rigs, one behaviour: the flashed image, its core on its own, and the program's simulated board.

The same sessions on each. Every message but the samples is the same in the same order with the same codes; samples
have the same numbers, readings and flags; positions and times lie within the bounds below. This proves that the
three agree with each other, not that they agree with hardware.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import pytest

from firmware_protocol.codec import encode, read
from firmware_protocol.frames import FrameDecoder, encode_frame
from firmware_protocol.messages import Ack, Event, Heartbeat, Identity, Sample, Status
from firmware_protocol.schema import Direction
from firmware_protocol.vocabulary import HEARTBEAT_MS, EventCode, Result
from tests.emulated_bench.host import MS
from tests.emulated_bench.rigs import CompiledRig, EmulatedRig, NativeRig
from tests.emulated_bench.script import ZERO, Script
from tests.emulated_bench.sessions import SCRIPTS
from tests.emulated_bench.simulated_rig import SimulatedRig

#: Where the simulated board begins, seen from its switches [step].
NEAR_AT, FAR_AT = -4_000, 44_800
#: A board begins a motion with its next millisecond, may plan one ahead, and looks in the millisecond after the
#: last step whether it was the last: so much apart at most [ms].
MOTION_MS = 5
#: Time between two readings [ms].
READING_MS = 12.5
#: Times of readings: the chip's timer starts a little after power-on [us].
READING_US_APART = 500
#: Times of events and answers: one reading [us]. A motion that begins some steps elsewhere ends later, too.
NEWS_US_APART = READING_MS * 1000


@dataclass(frozen=True, slots=True)
class SessionLog:
    """What a board said in a session."""

    messages: Sequence[object]

    @property
    def news(self) -> list[Ack | Event | Status | Identity]:
        """All but the samples."""
        return [m for m in self.messages if isinstance(m, Ack | Event | Status | Identity)]

    @property
    def samples(self) -> list[Sample]:
        """The samples."""
        return [m for m in self.messages if isinstance(m, Sample)]


def play(script: Script, rig: CompiledRig | SimulatedRig) -> SessionLog:
    """Let a session happen to a rig."""
    if script.readings:
        rig.script(script.readings)
    else:
        rig.script([ZERO])
    beats = [
        (ms + 3.0, lambda rig: rig.send(encode_frame(encode(Heartbeat()))))
        for ms in range(0, int(script.end_ms), HEARTBEAT_MS)
        if not script.silent_from_ms <= ms < script.silent_to_ms
    ]
    decoder, messages = FrameDecoder(), []
    for at_ms, action in sorted([*script.actions, *beats], key=lambda pair: pair[0]):
        rig.run_to(round(at_ms * MS))
        action(rig)
    rig.run_to(round(script.end_ms * MS))
    for found in decoder.feed(rig.receive()):
        messages.append(read(found, Direction.TO_HOST))
    rig.close()
    return SessionLog(messages)


def emulated() -> EmulatedRig:
    rig = EmulatedRig()
    rig.set("near_at", NEAR_AT)
    rig.set("far_at", FAR_AT)
    return rig


def native() -> NativeRig:
    rig = NativeRig()
    rig.set("near_at", NEAR_AT)
    rig.set("far_at", FAR_AT)
    return rig


def shown(message: Ack | Event | Status | Identity) -> str:
    """A message without its position and time."""
    match message:
        case Ack(request, result):
            return f"answer {request} {Result(result).name}"
        case Event(code):
            return f"event {EventCode(code).name}"
        case Status():
            return (
                f"status {message.request} state {message.state} flags {message.flags:04x} "
                f"zero {message.zero_counts} bad {message.bad_frames} dropped {message.dropped}"
            )
        case Identity():
            return f"identity {message.request} {message.table_crc:04x}"


def compare(one: SessionLog, other: SessionLog) -> None:
    """Hold two logs against each other."""
    assert [shown(m) for m in one.news] == [shown(m) for m in other.news]
    steps_apart = bound(one.samples)
    for a, b in zip(one.news, other.news, strict=True):
        if isinstance(a, Event | Status) and isinstance(b, Event | Status):
            assert abs(a.steps - b.steps) <= steps_apart, (a, b)
            assert abs(a.t_us - b.t_us) <= NEWS_US_APART, (a, b)
    assert [(s.seq, s.counts, f"{s.flags:04x}") for s in one.samples] == [
        (s.seq, s.counts, f"{s.flags:04x}") for s in other.samples
    ]
    for s, t in zip(one.samples, other.samples, strict=True):
        assert abs(s.steps - t.steps) <= steps_apart, (s, t)
        assert abs(s.t_us - t.t_us) <= READING_US_APART, (s, t)


def bound(samples: list[Sample]) -> float:
    """So many steps may lie between two rigs: the way in `MOTION_MS` at the session's highest speed, and two."""
    fastest = max((abs(b.steps - a.steps) for a, b in pairwise(samples)), default=0)
    return 2 + fastest * MOTION_MS / READING_MS


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.__name__)
@pytest.mark.parametrize("other", [native, SimulatedRig], ids=["core on its own", "simulated board"])
def test_one_behaviour(script: Callable[[], Script], other: Callable[[], CompiledRig | SimulatedRig]) -> None:
    chip = play(script(), emulated())
    assert chip.news
    compare(chip, play(script(), other()))
