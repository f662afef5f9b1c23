"""The online break detector: sees every break within a few readings, and hardly ever one that is none.

Curves are drawn here with a truth of their own; nothing of the simulated rig is used.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rig.break_detector import CONFIRM, BreakDetector

#: Counts per newton of an invented amplifier, and its noise [count].
COUNTS_PER_N = 3_500_000
NOISE_COUNTS = 700
FLOOR_COUNTS = 0.03 * COUNTS_PER_N
FULL_SCALE = 2**23 - 1
ZERO = -41_000


@dataclass(frozen=True)
class Drawn:
    """A drawn pull: readings, and the place of the first one after the break (None: it never broke)."""

    readings: list[int]
    broke_at: int | None


def draw(seed: int, *, breaks: bool, glitches: int = 3, slips: int = 2) -> Drawn:
    """Toe, steep rise, plateau, second rise, break.

    Slips let the force fall for good, by up to a quarter each; glitches are single readings, as a disturbed bit
    of the amplifier gives them.
    """
    rng = Random(seed)
    n = rng.randrange(400, 1600)
    peak_n = rng.uniform(0.15, 1.6)
    slip_at = sorted(rng.randrange(n // 4, n) for _ in range(slips))
    kept = 1.0
    readings = []
    for i in range(n):
        x = i / n
        shape = min(x / 0.06, 0.55) + 0.15 * x + max(0.0, x - 0.6) * 0.75
        if i in slip_at:
            kept *= rng.uniform(0.75, 0.95)
        readings.append(round(ZERO + peak_n * COUNTS_PER_N * shape * kept + rng.gauss(0, NOISE_COUNTS)))
    broke_at = None
    if breaks:
        broke_at = n
        readings += [round(ZERO + rng.gauss(0, NOISE_COUNTS)) for _ in range(30)]
    for place in rng.sample(range(5, n - 5, 3), glitches):
        readings[place] = rng.choice([FULL_SCALE, -FULL_SCALE - 1, 0, ZERO])
    return Drawn(readings, broke_at)


def seen_at(readings: list[int], floor: float = FLOOR_COUNTS) -> int | None:
    detector = BreakDetector(ZERO, floor)
    return next((i for i, counts in enumerate(readings) if detector.feed(counts)), None)


def test_break_is_seen_within_four_readings() -> None:
    """The median is one reading late and three in a row are wanted: the fourth reading at zero is enough."""
    for seed in range(300):
        drawn = draw(seed, breaks=True, glitches=0)
        assert drawn.broke_at is not None
        assert seen_at(drawn.readings) == drawn.broke_at + CONFIRM, seed


def test_no_false_alarm_in_600_pulls_with_glitches_and_slips() -> None:
    assert [seed for seed in range(600) if seen_at(draw(seed, breaks=False).readings) is not None] == []


def test_a_threshold_alone_would_not_do() -> None:
    """The same 600 pulls under the obvious rule (one reading below half of the highest) are nearly all lost."""
    false_alarms = 0
    for seed in range(600):
        peak = 0.0
        for counts in draw(seed, breaks=False).readings:
            force = abs(counts - ZERO)
            if peak > FLOOR_COUNTS and force < 0.5 * peak:
                false_alarms += 1
                break
            peak = max(peak, force)
    assert false_alarms > 400


@given(st.integers(0, 10_000))
def test_glitches_never_hide_a_break(seed: int) -> None:
    drawn = draw(seed, breaks=True, glitches=10, slips=0)
    at = seen_at(drawn.readings)
    assert at is not None
    assert drawn.broke_at is not None
    assert drawn.broke_at <= at <= drawn.broke_at + CONFIRM + 3


@pytest.mark.parametrize("sign", [1, -1])
def test_a_cell_wired_the_other_way_round_is_as_good(sign: int) -> None:
    drawn = draw(1, breaks=True)
    mirrored = [ZERO + sign * (counts - ZERO) for counts in drawn.readings]
    assert seen_at(mirrored) == seen_at(drawn.readings)


def test_nothing_below_the_floor_is_a_break() -> None:
    force = [100.0, 500.0, 900.0, 10.0, 5.0, 0.0, 3.0, 2.0]
    assert seen_at([round(ZERO + f) for f in force], floor=1000.0) is None


def test_two_glitches_within_three_readings_are_more_than_the_rule_can_take() -> None:
    """The limit of a median of three, kept here so that nobody believes otherwise."""
    steady = [ZERO + f for f in [500_000] * 10]
    assert seen_at([*steady, FULL_SCALE, FULL_SCALE, *steady]) is not None
    assert seen_at([*steady, FULL_SCALE, *steady, FULL_SCALE, *steady]) is None


def test_slip_that_loses_more_than_half_looks_like_a_break() -> None:
    """What the rule can't know: it stops the motor, and the recording tells the difference later."""
    assert seen_at([ZERO + f for f in [0, 500_000, 900_000, 900_000] + [400_000] * 6]) is not None


def test_partial_break_that_keeps_most_of_its_load_goes_on() -> None:
    assert seen_at([ZERO + f for f in [0, 500_000, 900_000, 900_000] + [500_000] * 60]) is None


def test_stays_seen() -> None:
    detector = BreakDetector(0.0, 10.0)
    fed = [detector.feed(c) for c in [0, 100, 100, 100, 0, 0, 0, 0, 200, 200, 200]]
    assert fed[-4:] == [True] * 4
    assert detector.peak_counts == 100.0
