"""The small pure parts: ticks, zero, limits, inbox, joined batches, the detector's neighbours."""

from __future__ import annotations

import threading
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware_protocol.vocabulary import Flag, StopReason
from rig.clock import WallClock
from rig.errors import ADVICE, LinkLost, Refused, RigError
from rig.force_zero import force_zero
from rig.inbox import Inbox
from rig.limits import END_REASONS, Limits, View, check
from rig.outcome import trip_of_board
from rig.reader import Reader
from rig.samples import SampleBatch, joined
from rig.unwrap import TickUnwrapper
from tests.links import LockstepClock


def batch(first: int, n: int, lost: int = 0) -> SampleBatch:
    numbers = tuple(range(first, first + n))
    return SampleBatch(numbers, numbers, numbers, (0,) * n, lost)


# --- ticks ------------------------------------------------------------------------------------------------------


@given(st.integers(0, 2**32 - 1), st.lists(st.integers(0, 2**32 - 1), max_size=50))
def test_ticks_only_grow_and_keep_their_distances(first: int, gaps: list[int]) -> None:
    ticks = TickUnwrapper()
    true_us = first
    assert ticks.feed(first) == first
    for gap in gaps:
        true_us += gap
        assert ticks.feed(true_us % 2**32) == true_us


def test_ticks_begin_anew_after_a_restart() -> None:
    ticks = TickUnwrapper()
    ticks.feed(5_000_000)
    ticks.reset()
    assert ticks.feed(3) == 3


# --- zero -------------------------------------------------------------------------------------------------------


def test_zero_is_the_mean_without_glitches() -> None:
    rng = Random(3)
    readings = [round(-41_000 + rng.gauss(0, 120)) for _ in range(80)]
    clean = force_zero(readings)
    assert clean.left_out == 0
    assert clean.counts == pytest.approx(sum(readings) / 80)
    assert clean.sd_counts == pytest.approx(120, rel=0.3)
    spoilt = force_zero([*readings[:40], 8_388_607, *readings[40:], -8_388_608])
    assert spoilt.left_out == 2
    assert spoilt.counts == pytest.approx(clean.counts)


def test_zero_of_a_channel_that_never_changes() -> None:
    zero = force_zero([7] * 20)
    assert (zero.counts, zero.n, zero.sd_counts) == (7.0, 20, 0.0)


def test_zero_of_too_few() -> None:
    with pytest.raises(ValueError, match="8 are needed"):
        force_zero([1] * 7)


# --- limits -----------------------------------------------------------------------------------------------------

QUIET = View(force_n=0.5, extension_mm=5.0, elapsed_s=10.0, silent_s=0.01, samples=800, lost=0)
LIMITS = Limits(force_n=1.9, travel_mm=30.0, duration_s=120.0)


def seen(**changes: float) -> View:
    from dataclasses import replace

    return replace(QUIET, **changes)  # type: ignore[arg-type]


def test_nothing_is_wrong() -> None:
    assert check(QUIET, LIMITS) is None
    assert check(View(None, None, 0.0, 0.0, 0, 0), Limits()) is None


@pytest.mark.parametrize(
    ("view", "reason", "words"),
    [
        (seen(force_n=2.0), "force_limit", "2.000 N, and the limit is 1.900 N"),
        (seen(force_n=-2.0), "force_limit", "2.000 N"),
        (seen(extension_mm=31.6), "travel_limit", "31.60 mm, and the limit is 30.00 mm"),
        (seen(elapsed_s=121.0), "error", "not over after 121 s"),
        (seen(silent_s=2.1), "silence", "for 2.1 s"),
        (seen(lost=900), "error", "900 of 1700 readings"),
        (seen(flags=int(Flag.EMERGENCY_STOP)), "emergency_stop", "make the rig safe"),
        (seen(flags=StopReason.EMERGENCY_STOP << 8), "emergency_stop", "make the rig safe"),
        (seen(flags=int(Flag.SENSOR_FAULT)), "sensor_fault", "wiring"),
        (seen(frozen_s=2.5, frozen_readings=200), "sensor_fault", "single count for 2.5 s"),
    ],
)
def test_rules(view: View, reason: str, words: str) -> None:
    trip = check(view, LIMITS)
    assert trip is not None
    assert trip.reason == reason
    assert words in trip.text
    assert trip.text.endswith(".")


@pytest.mark.parametrize(
    "view",
    [
        seen(force_n=1.95),  # the board has had no chance yet to act on its own limit
        seen(extension_mm=30.5),
        seen(silent_s=1.9),
        seen(samples=50, lost=100),  # too few to judge
        seen(frozen_s=2.5, frozen_readings=10),
        seen(frozen_s=2.5, frozen_readings=200, flags=int(Flag.SATURATED)),
    ],
)
def test_not_yet(view: View) -> None:
    assert check(view, LIMITS) is None


def test_emergency_goes_before_all_else() -> None:
    trip = check(seen(force_n=9.0, silent_s=9.0, flags=int(Flag.EMERGENCY_STOP)), LIMITS)
    assert trip is not None
    assert trip.reason == "emergency_stop"


@pytest.mark.parametrize("reason", [r for r in StopReason if r is not StopReason.NONE])
def test_every_reason_of_a_board_has_an_end_reason_and_advice(reason: StopReason) -> None:
    assert END_REASONS[reason]
    assert ADVICE[reason]
    trip = trip_of_board(reason)
    assert trip.reason == END_REASONS[reason]
    assert trip.text.endswith(".")


@pytest.mark.parametrize("result", range(12))
def test_every_refusal_has_a_sentence(result: int) -> None:
    told = str(Refused("Pull", result))
    assert told.endswith(".")
    assert "Pull" in told


# --- batches and the inbox --------------------------------------------------------------------------------------


def test_joined_batches_are_cut_where_something_was_lost() -> None:
    parts = [batch(0, 3, lost=2), batch(3, 1), batch(4, 2), batch(9, 1, lost=3), batch(10, 4)]
    assert joined(parts) == (batch(0, 6, lost=2), batch(9, 5, lost=3))
    assert joined([]) == ()
    assert joined([parts[0]])[0] is parts[0]


def test_inbox_that_is_full_drops_the_oldest_and_says_so() -> None:
    inbox = Inbox(WallClock(), capacity=10)
    for first in range(0, 30, 5):
        inbox.put(batch(first, 5))
    taken = inbox.take(0.0)
    assert taken == (batch(20, 5, lost=20), batch(25, 5))
    assert inbox.health.samples == 30
    assert inbox.health.overrun == inbox.health.lost_samples == 20
    inbox.put(batch(30, 5))
    assert inbox.take(0.0) == (batch(30, 5),)


def test_losses_before_dropped_batches_are_not_forgotten() -> None:
    inbox = Inbox(WallClock(), capacity=4)
    inbox.put(batch(3, 3, lost=3))
    inbox.put(batch(6, 3))
    assert inbox.take(0.0) == (batch(6, 3, lost=6),)
    assert inbox.health.lost_samples == 6
    assert inbox.health.overrun == 3


def test_wait_for_samples_ends_when_woken_and_when_the_link_ends() -> None:
    inbox = Inbox(WallClock())
    threading.Timer(0.01, inbox.wake).start()
    assert inbox.take(30.0) == ()
    gone = LinkLost("gone.")
    threading.Timer(0.01, inbox.end, [gone]).start()
    assert inbox.take(30.0) == ()
    assert inbox.cause is gone
    inbox.end(RigError("later."))
    assert inbox.cause is gone


def test_clear_begins_to_count_anew() -> None:
    inbox = Inbox(WallClock())
    inbox.put(batch(0, 3, lost=9))
    inbox.clear()
    assert inbox.take(0.0) == ()
    assert inbox.health.lost_samples == inbox.health.gaps == 0


# --- the reader -------------------------------------------------------------------------------------------------


class Scripted:
    """A link that does what the list says, one read after another."""

    address = "test://scripted"

    def __init__(self, clock: LockstepClock, reads: list[bytes | float | Exception]) -> None:
        self.clock = clock
        self.reads = reads

    def read(self, timeout_s: float) -> bytes:
        if not timeout_s:
            return b""
        found = self.reads.pop(0) if self.reads else timeout_s
        if isinstance(found, Exception):
            raise found
        if isinstance(found, float):
            self.clock.advance(found)
            return b""
        return found

    def write(self, data: bytes) -> None:
        pass

    def close(self) -> None:
        pass


def read_script(
    reads: list[bytes | float | Exception], wrong: bool = False
) -> tuple[Reader, bytes, list[RigError]]:
    clock = LockstepClock()
    got = bytearray()
    causes: list[RigError] = []

    def feed(data: bytes, now_s: float) -> None:
        if wrong:
            raise ValueError("invented mistake")
        got.extend(data)

    reader = Reader(Scripted(clock, reads), feed, causes.append, clock)
    reader.start()
    condition = threading.Condition()
    for _ in range(40):
        with condition:
            clock.wait(condition, 0.1)
    reader.stop()
    return reader, bytes(got), causes


def test_reader_counts_bytes_and_late_reads() -> None:
    reader, got, causes = read_script([b"abc", 0.05, b"de", 0.3, b"f", 0.04, 1.0])
    assert got == b"abcdef"
    assert reader.bytes_read == 6
    assert reader.late_reads == 2
    assert causes == []


def test_reader_ends_with_the_links_cause() -> None:
    gone = LinkLost("gone.")
    _, got, causes = read_script([b"abc", gone, b"never read"])
    assert got == b"abc"
    assert causes == [gone]


def test_reader_ends_with_a_cause_even_where_the_program_is_wrong() -> None:
    _, _, causes = read_script([b"abc"], wrong=True)
    assert len(causes) == 1
    assert "invented mistake" in str(causes[0])


def test_thread_of_the_wall_clock_ends_when_cancelled_and_when_done() -> None:
    clock = WallClock()
    counted: list[int] = []
    ended = threading.Event()

    def step() -> bool:
        counted.append(1)
        if len(counted) == 5:
            ended.set()
        return len(counted) < 5

    clock.repeat("test", 0.0, step)
    assert ended.wait(30.0)
    forever = clock.repeat("test", 3600.0, lambda: True)
    forever.cancel()
    assert not any(thread.name == "test" for thread in threading.enumerate())
