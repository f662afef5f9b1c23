"""Whether guesses come closer: against a certified straight line, a hand-worked one, and many simulated classes."""

from __future__ import annotations

import random

import pytest

from analysis.errors import InputError
from analysis.series.learning import trend_of_errors

# Textbook line through five points, worked by hand: x = 1..5, y = 2, 4, 5, 4, 5.
# Sxx = 10, Sxy = 6, slope 0.6; residuals -0.8, 0.6, 1.0, -0.6, -0.2: SS 2.4, s2 = 0.8, u(slope) = sqrt(0.08);
# t(0.975; 3) = 3.182446 (any table of Student's t, such as JCGM 100:2008 table G.2: 3.18).
X, Y = (1, 2, 3, 4, 5), (2.0, 4.0, 5.0, 4.0, 5.0)


def test_a_line_worked_by_hand() -> None:
    trend = trend_of_errors(X, Y)
    assert trend.per_session == pytest.approx(0.6, rel=1e-12)
    half = 3.182446 * 0.08**0.5
    assert trend.interval.low == pytest.approx(0.6 - half, rel=1e-6)
    assert trend.interval.high == pytest.approx(0.6 + half, rel=1e-6)
    assert (trend.sessions, trend.n, trend.direction) == (5, 5, "unclear")


# NIST StRD linear regression, Norris: y and x in turn; certified slope 1.00211681802045, its standard deviation
# 0.429796848199937e-03, 34 degrees of freedom. Its x are no session numbers, which the arithmetic does not know.
NORRIS = """0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3 449.1 448.6
778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5 10.8 11.6 557.7 556.0
228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2 998.5 999.0
778.9 779.0 10.2 11.1 117.6 118.3 228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5"""


def test_a_certified_line() -> None:
    numbers = [float(text) for text in NORRIS.split()]
    trend = trend_of_errors(numbers[1::2], numbers[0::2])  # type: ignore[arg-type]
    t_34 = 2.032245  # Student's t, 0.975, 34 degrees of freedom
    assert trend.per_session == pytest.approx(1.00211681802045, rel=1e-12)
    half = (trend.interval.high - trend.interval.low) / 2
    assert half == pytest.approx(t_34 * 0.429796848199937e-03, rel=1e-6)


def test_too_little_to_say() -> None:
    with pytest.raises(InputError, match="2 sessions are too few"):
        trend_of_errors([1, 1, 2, 2], [5.0, 6.0, 4.0, 3.0])
    with pytest.raises(InputError, match="differ in length"):
        trend_of_errors([1, 2, 3], [5.0])
    with pytest.raises(InputError):
        trend_of_errors([], [])


@pytest.mark.parametrize(("slope", "word"), [(-1.5, "closer"), (1.5, "further"), (0.0, "unclear")])
def test_the_word_follows_the_slope(slope: float, word: str) -> None:
    session = [number for number in range(1, 9) for _ in range(3)]
    off_by = [20.0 + slope * number + 0.5 * (-1) ** index for index, number in enumerate(session)]
    assert trend_of_errors(session, off_by).direction == word


def test_the_interval_covers_the_truth_as_often_as_it_says() -> None:
    """A class of 400 students with a known slope: 95 % of the intervals hold it, within what 400 draws allow."""
    dice = random.Random(11)
    session = [1, 1, 2, 2, 3, 3, 4, 4]
    held = 0
    for _ in range(400):
        trend = trend_of_errors(session, [12.0 - 0.7 * number + dice.gauss(0, 3.0) for number in session])
        held += trend.interval.low <= -0.7 <= trend.interval.high
    # 380 expected, standard deviation sqrt(400 0.95 0.05) = 4.4: four of them either way.
    assert 362 <= held <= 398
