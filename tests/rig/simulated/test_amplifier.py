"""The amplifier: its rate, filter, noise, ends and faults, against what public logs of such boards show."""

from __future__ import annotations

import itertools
import statistics
from random import Random

import pytest

from rig.simulated.amplifier import COUNTS_PER_N, FULL_SCALE_COUNTS, Amplifier, saturated


class Log:
    """Readings taken as they are due."""

    def __init__(self, rate_hz: float = 80.0, seed: int = 1) -> None:
        self.amplifier = Amplifier(rate_hz, Random(seed))
        self.now_us = 0
        self.times: list[int] = []
        self.counts: list[int | None] = []

    def take(self, readings: int, force_n: float | None = None) -> list[int | None]:
        before = len(self.counts)
        if force_n is not None:
            self.amplifier.follow(force_n, 0)
        for _ in range(readings):
            due = self.amplifier.due_us
            self.amplifier.follow(self.amplifier._force_n, due - self.now_us)
            self.now_us = due
            self.times.append(due)
            self.counts.append(self.amplifier.read())
        return self.counts[before:]

    def newtons(self, counts: int | None) -> float:
        assert counts is not None
        return (counts - self.amplifier.zero_counts) / COUNTS_PER_N

    def gaps_us(self) -> list[int]:
        return [b - a for a, b in zip(self.times, self.times[1:], strict=False)]


def numbers(readings: list[int | None]) -> list[int]:
    assert all(reading is not None for reading in readings)
    return [reading for reading in readings if reading is not None]


@pytest.mark.parametrize(
    ("nominal", "low", "high"), [(80.0, 84.2, 84.4), (10.0, 10.5, 10.6), (1000.0, 1050.0, 1060.0)]
)
def test_the_true_rate_is_above_the_nominal_one(nominal: float, low: float, high: float) -> None:
    # Public logs: "80" delivered 84.3, "10" delivered 10.5-10.6 readings/s.
    log = Log(nominal)
    log.take(3000)
    assert low < 1e6 * 2999 / (log.times[-1] - log.times[0]) < high


def test_the_interval_is_a_little_unsteady() -> None:
    # Public logs: 11.86 ms apart, 11.80-11.95 at the 1st and 99th percentile.
    log = Log()
    log.take(5000)
    cuts = statistics.quantiles(log.gaps_us(), n=100)
    assert 11_700 < cuts[0] < 11_850 < cuts[-1] < 12_000


def test_the_noise_is_that_of_a_cheap_board_and_repeats_are_rare() -> None:
    log = Log()
    counts = numbers(log.take(4000))
    differences = [b - a for a, b in itertools.pairwise(counts)]
    assert 110 < statistics.stdev(differences) / 2**0.5 < 200  # public logs
    assert sum(d == 0 for d in differences) < 30


def test_the_zero_is_not_zero_and_wanders_little() -> None:
    zeros = []
    for seed in range(20):
        log = Log(seed=seed)
        start = log.amplifier.zero_counts
        log.take(80 * 60)
        assert 30_000 <= abs(start) <= 120_000
        zeros.append(log.amplifier.zero_counts - start)
    assert 10 < statistics.pstdev(zeros) < 60


def test_a_step_of_force_is_spread_over_four_readings_and_two_late() -> None:
    log = Log()
    log.take(20, 0.0)
    answers = [log.newtons(counts) for counts in log.take(8, 1.0)]
    assert answers == pytest.approx([0.25, 0.5, 0.75, 1.0, 1.0, 1.0, 1.0, 1.0], abs=1e-3)


def test_a_slow_filter_is_about_a_tenth_of_a_second_late() -> None:
    log = Log()
    log.amplifier.lag(True)
    log.take(40, 0.0)
    answers = [log.newtons(counts) for counts in log.take(20, 1.0)]
    half_at = next(n for n, value in enumerate(answers) if value > 0.5)
    assert 0.08 < half_at / 84.3 < 0.12


def test_counts_per_newton_hold_to_a_ten_thousandth() -> None:
    log = Log()
    log.take(10, 1.5)
    many = numbers(log.take(2000))
    assert statistics.fmean(many) - log.amplifier.zero_counts == pytest.approx(1.5 * COUNTS_PER_N, rel=1e-4)


@pytest.mark.parametrize(("force_n", "end"), [(3.0, FULL_SCALE_COUNTS), (-3.0, -FULL_SCALE_COUNTS - 1)])
def test_beyond_the_range_the_reading_stays_at_the_end(force_n: float, end: int) -> None:
    log = Log()
    log.take(5, force_n)
    assert log.take(50) == [end] * 50
    assert saturated(end)
    assert not saturated(end - 1 if end > 0 else end + 1)


def test_a_preloaded_cell_saturates_a_quarter_newton_further() -> None:
    log = Log()
    log.amplifier.preload()
    assert not any(saturated(c) for c in numbers(log.take(50, 0.24)))
    log.take(5, 0.26)
    assert all(saturated(c) for c in numbers(log.take(50)))


def test_a_glitch_is_one_reading_at_the_end_of_the_range() -> None:
    log = Log()
    log.take(10)
    log.amplifier.glitch = True
    after = numbers(log.take(10))
    assert after[0] == 2**23 - 1
    assert not any(saturated(counts) for counts in after[1:])


def test_a_pause_is_a_gap_in_time_only() -> None:
    log = Log()
    log.take(20)
    log.amplifier.pause(0.42)
    log.take(20)
    gaps = log.gaps_us()
    assert max(gaps) == pytest.approx(420_000 + 11_862, abs=150)
    assert sum(gap > 13_000 for gap in gaps) == 1


def test_a_frozen_channel_repeats_and_a_dead_one_is_silent() -> None:
    log = Log()
    last = log.take(20)[-1]
    log.amplifier.frozen = True
    assert log.take(100, 0.5) == [last] * 100
    log.amplifier.frozen = False
    log.amplifier.dead = True
    assert log.take(5) == [None] * 5


def test_drift_and_noise_faults_show() -> None:
    log = Log()
    start = log.amplifier.zero_counts
    log.amplifier.drifting = True
    log.take(843)
    assert log.amplifier.zero_counts - start == pytest.approx(1800, abs=60)
    log.amplifier.noisy = True
    assert 2500 < statistics.stdev(numbers(log.take(1000))) < 3500
