"""A whole pull over links that misbehave: it ends as it should, and every loss is counted.

The truth is what the board put on the line, decoded before the line could spoil it.
"""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Callable
from pathlib import Path

import pytest

from firmware_protocol.codec import decode
from firmware_protocol.frames import Frame, FrameDecoder
from firmware_protocol.messages import Move, Sample
from recordings.format import Recording
from recordings.reader import read_recording
from rig.errors import LinkLost, NoAnswer, NotARig, Overtaken, RigError, WrongProtocol
from rig.link import Link
from rig.run import run_pull
from rig.stretcher import Stretcher
from tests.links import (
    BoardLink,
    Bytewise,
    Corrupting,
    Delayed,
    Dying,
    LockstepClock,
    Lossy,
    Wrapper,
    simulated,
)
from tests.rig.pulls import plan


class Tapped(Wrapper):
    """Notes every sample that the board sends."""

    def __init__(self, inner: Link) -> None:
        super().__init__(inner)
        self.samples: list[Sample] = []
        self._decoder = FrameDecoder()

    def read(self, timeout_s: float) -> bytes:
        data = self.inner.read(timeout_s)
        for found in self._decoder.feed(data):
            if isinstance(found, Frame) and isinstance(message := decode(found), Sample):
                self.samples.append(message)
        return data


LINKS: dict[str, Callable[[Tapped], Link]] = {
    "perfect": lambda link: link,
    "bytewise": Bytewise,
    "losing 1 byte in 500": lambda link: Lossy(link, 0.002),
    "1 byte in 200 with a wrong bit": lambda link: Corrupting(link, 0.005),
    "1 byte in 100 with a wrong bit": lambda link: Corrupting(link, 0.01),
}


@pytest.mark.parametrize("name", LINKS)
def test_pull_over_a_bad_link(tmp_path: Path, name: str) -> None:
    taps: list[Tapped] = []

    def wrap(link: BoardLink) -> Link:
        taps.append(Tapped(link))
        return LINKS[name](taps[0])

    stretcher, link = simulated(wrap=wrap)
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    assert outcome.end_reason == "break"
    assert not link.moving
    recording = read_recording(outcome.path)
    assert recording.complete
    kept = _rows_are_samples_of(recording, taps[0].samples)
    last = kept[-1]
    assert outcome.lost == last - kept[0] + 1 - len(kept)
    if name in ("perfect", "bytewise"):
        assert outcome.lost == 0
        assert stretcher.health.bad == 0
    else:
        assert outcome.lost > 0
        assert stretcher.health.bad > 0


def _rows_are_samples_of(recording: Recording, sent: list[Sample]) -> list[int]:
    """The places of the rows among the samples sent, in order; every row must be one of them, unchanged."""
    places = {(s.t_us, s.counts, s.steps, s.flags): place for place, s in enumerate(sent)}
    rows = recording.rows
    if not len(rows):
        return []
    kept = [places[row] for row in zip(rows.t_us, rows.counts, rows.steps, rows.flags, strict=True)]
    assert kept == sorted(kept)
    lost_before = {mark.row: mark.data["lost"] for mark in recording.marks if mark.kind == "gap"}
    for row, (before, place) in enumerate(itertools.pairwise(kept), start=1):
        assert lost_before.get(row, 0) == place - before - 1
    return kept


@pytest.mark.parametrize("seed", range(5))
def test_link_that_is_worse_than_useful(tmp_path: Path, seed: int) -> None:
    """1 byte in 20: whatever comes of it, the motor stands in the end, and what was recorded is true."""
    taps: list[Tapped] = []

    def wrap(link: BoardLink) -> Link:
        taps.append(Tapped(link))
        return Corrupting(taps[0], 0.05, seed)

    stretcher, link = simulated(wrap=wrap)
    with contextlib.suppress(RigError), stretcher:
        run_pull(stretcher, plan(tmp_path))
    for path in tmp_path.glob("*.pull.csv"):
        _rows_are_samples_of(read_recording(path), taps[0].samples)
    link.clock.advance(1.0)
    assert not link.moving
    assert link.closed


@pytest.mark.parametrize("delay_s", [0.05, 0.2, 0.4])
def test_pull_over_a_slow_link(tmp_path: Path, delay_s: float) -> None:
    """0.4 s is longer than the wait for an answer: commands are repeated, and carried out once."""
    stretcher, link = simulated(wrap=lambda link: Delayed(link, delay_s))
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, return_after=True))
    assert outcome.end_reason == "break"
    assert outcome.lost == 0
    assert not link.moving
    assert len(link.board.truths) == 2, "the strand that was pulled, and the next one"


def test_dead_from_the_start() -> None:
    def wrap(link: BoardLink) -> Dying:
        dying = Dying(link)
        dying.dead = True
        return dying

    stretcher, link = simulated(wrap=wrap)
    with pytest.raises(LinkLost):
        stretcher.open()
    assert link.closed


class Babbling(Wrapper):
    """Something that is no rig: answers with what it likes."""

    def __init__(self, clock: LockstepClock, words: bytes) -> None:
        self.address = "test://babbler"
        self.clock = clock
        self.words = words
        self.closed = False

    def read(self, timeout_s: float) -> bytes:
        self.clock.advance(timeout_s)
        return self.words

    def write(self, data: bytes) -> None:
        pass

    def close(self) -> None:
        self.closed = True


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (b"", "Nothing answers at test://babbler"),
        (b"12.3,4.5\r\n", "is not a strand rig"),
        (bytes(range(256)) * 20, "is not a strand rig"),
        (b"\x00" * 500, "is not a strand rig"),
        (b"\xff\xfe\x1b[2J" * 99, "is not a strand rig"),
    ],
    ids=["nothing", "lines", "all bytes", "zeros", "escape codes"],
)
def test_not_a_rig(words: bytes, sentence: str) -> None:
    clock = LockstepClock()
    link = Babbling(clock, words)
    with pytest.raises(NotARig, match=sentence):
        Stretcher(link, clock).open()
    assert link.closed
    assert clock.now_s() < 110.0


class Echoing(Babbling):
    """A line that sends back what it gets, as a loop-back plug does."""

    def __init__(self, clock: LockstepClock) -> None:
        super().__init__(clock, b"")

    def read(self, timeout_s: float) -> bytes:
        words, self.words = self.words, b""
        self.clock.advance(0.001 if words else timeout_s)
        return words

    def write(self, data: bytes) -> None:
        self.words += data


def test_echo() -> None:
    clock = LockstepClock()
    with pytest.raises((NotARig, WrongProtocol)):
        Stretcher(Echoing(clock), clock).open()


@pytest.mark.parametrize("fault", ["wrong-protocol", "wrong-table"])
def test_wrong_protocol(fault: str) -> None:
    stretcher, link = simulated(fault=fault)
    with pytest.raises(WrongProtocol, match=r"firmware|flash|update"):
        stretcher.open()
    assert link.closed
    assert not link.moving


def test_command_is_repeated_and_carried_out_once() -> None:
    """The first three answers to a jog are lost: it is asked four times and moves once."""
    lost: list[bytes] = []

    class LosesAnswers(Wrapper):
        armed = False

        def read(self, timeout_s: float) -> bytes:
            data = self.inner.read(timeout_s)
            if data and self.armed and len(lost) < 3:
                lost.append(data)
                return b""
            return data

    wrapped: list[LosesAnswers] = []

    def wrap(link: BoardLink) -> Link:
        wrapped.append(LosesAnswers(link))
        return wrapped[0]

    stretcher, _ = simulated(wrap=wrap)
    with stretcher:
        stretcher.hold(1.0)
        before = stretcher.status().steps
        wrapped[0].armed = True
        stretcher._ask(_move(before + 400))
        stretcher.hold(2.0)
        assert stretcher.status().steps == before + 400
    assert len(lost) == 3


def test_command_that_is_never_answered() -> None:
    stretcher, _ = simulated(fault="silence@start+2")
    with stretcher:
        stretcher.hold(3.0)
        with pytest.raises(NoAnswer, match="emergency stop"):
            stretcher.zero()


def test_stop_overtakes_a_command() -> None:
    """A stop that is sent while an answer is waited for ends the wait; the stop is what is confirmed."""
    stretcher, link = simulated(wrap=lambda link: Delayed(link, 0.2))

    def press(by_s: float) -> None:
        if armed and not pressed:
            pressed.append(link.clock.now_s())
            stretcher.send_stop()

    armed: list[bool] = []
    pressed: list[float] = []
    link.clock.world.append(press)
    with stretcher:
        stretcher.hold(1.0)
        before = stretcher.status().steps
        armed.append(True)
        with pytest.raises(Overtaken):
            stretcher._ask(_move(before + 8000))
        stretcher.stop()
        assert not link.moving
        assert stretcher.status().steps < before + 8000


def test_motion_does_not_follow_on_a_stop() -> None:
    stretcher, link = simulated()
    with stretcher:
        stretcher.hold(1.0)
        nobody_wants_a_stop = stretcher.stops_sent
        stretcher.send_stop()
        with pytest.raises(Overtaken):
            stretcher.start_pull(20_000, 60.0, 1_000_000, 0, stops=nobody_wants_a_stop)
        stretcher.hold(0.5)
        assert link.ran_s < 0.0


def test_command_in_the_very_moment_of_a_stop_is_overtaken() -> None:
    """Another thread's stop slips in between the check and the sending: that is no mistake of this program."""
    stretcher, _ = simulated()
    with stretcher:
        dialogue = stretcher._dialogue
        dialogue.send_stop()
        with pytest.raises(Overtaken):
            dialogue._request(_move(1000), (dialogue.stops_sent, 0))


def _move(target_steps: int) -> Move:
    return Move(0, target_steps, 1_600_000, 7_000_000)
