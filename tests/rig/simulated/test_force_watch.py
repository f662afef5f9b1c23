"""The board's own force rules against the host's break detector, which was written apart from it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware_protocol.vocabulary import StopReason
from rig.break_detector import BreakDetector
from rig.simulated.force_watch import ForceWatch

READINGS = st.lists(st.integers(-(2**23), 2**23 - 1), min_size=1, max_size=60)
SMALL = st.lists(st.integers(-40, 60), min_size=10, max_size=80)


def first(stops: list[StopReason | None]) -> int | None:
    return next((n for n, stop in enumerate(stops) if stop is StopReason.BREAK_SEEN), None)


@given(st.one_of(READINGS, SMALL), st.integers(-1000, 1000), st.integers(1, 50))
def test_board_and_host_see_a_break_at_the_same_reading(counts: list[int], zero: int, floor: int) -> None:
    watch, detector = ForceWatch(), BreakDetector(zero, floor)
    watch.zero = zero
    watch.start(None, floor)
    on_board = first([watch.take(count) for count in counts])
    seen = [detector.feed(count) for count in counts]
    assert on_board == (seen.index(True) if True in seen else None)


def test_a_break_is_three_medians_below_half_of_the_peak() -> None:
    watch = ForceWatch()
    watch.start(None, 20)
    assert [watch.take(c) for c in (100, 100, 100, 49, 49, 49)] == [None] * 6
    assert watch.take(49) is StopReason.BREAK_SEEN


def test_half_of_the_peak_is_no_break_and_a_peak_at_the_floor_arms_nothing() -> None:
    for floor, level in ((20, 50), (100, 0)):
        watch = ForceWatch()
        watch.start(None, floor)
        assert {watch.take(c) for c in [100] * 5 + [level] * 20} == {None}


@pytest.mark.parametrize("sign", [1, -1])
def test_the_limit_is_reached_with_the_median_in_either_direction(sign: int) -> None:
    watch = ForceWatch()
    watch.start(100, 0)
    readings = [0, 0, 10**6, 0, 0, 99, 99, 100, 0, 100]
    stops = [watch.take(sign * c) for c in readings]
    assert stops == [None] * 9 + [StopReason.FORCE_LIMIT]


def test_readings_from_before_the_motion_do_not_count() -> None:
    watch = ForceWatch()
    for _ in range(8):
        watch.take(1000)
    watch.start(100, 0)
    assert [watch.take(c) for c in (0, 0, 0)] == [None] * 3


def test_zero_is_the_floor_of_the_mean_of_eight() -> None:
    watch = ForceWatch()
    for count in (-1, -1, -1, -1, -1, -1, -1):
        watch.take(count)
    assert not watch.ready
    watch.take(-2)
    assert watch.ready
    watch.take_zero()
    assert watch.zero == -2  # -9/8 rounded down
