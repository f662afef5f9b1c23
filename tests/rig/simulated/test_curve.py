"""The stress curve against closed forms and a published worked example."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rig.simulated.curve import KeratinCurve, logistic, softplus

SHARP = KeratinCurve(4000.0, 0.02, (95 - 80) / 0.28, 0.30, 700.0, 1e-6, 1e-6, 1e-6)
ROUND = KeratinCurve(3800.0, 0.025, 60.0, 0.28, 520.0)


@pytest.mark.parametrize(
    ("strain", "stress_mpa"),
    [(0.0, 0.0), (0.01, 40.0), (0.02, 80.0), (0.15, 86.964286), (0.20, 89.642857), (0.30, 95.0), (0.45, 200.0)],
)
def test_sharp_corners_give_the_three_straight_lines(strain: float, stress_mpa: float) -> None:
    # Exact values of the lines through (0, 0) (0.02, 80) (0.30, 95) (0.45, 200), worked out by hand.
    assert SHARP.stress_mpa(strain) == pytest.approx(stress_mpa, abs=6e-3)


def test_a_60_um_fibre_at_2_percent_pulls_with_the_published_22_gram_force() -> None:
    # A handbook of hair science, Appendix B: 60 um, 2 %, 0.216 N, hence 3.8 GPa "for a virgin hair".
    curve = KeratinCurve(3819.7, 0.04, 60.0, 0.28, 520.0)
    assert curve.stress_mpa(0.02) * math.pi / 4 * 60e-6**2 * 1e6 == pytest.approx(0.216, rel=0.005)


def test_the_lines_of_a_rounded_curve_meet_where_it_says() -> None:
    """Straight lines through parts far from the corners meet at the named strains, to a millionth."""

    def line(start: float, end: float) -> tuple[float, float]:
        low, high = ROUND.stress_mpa(start), ROUND.stress_mpa(end)
        slope = (high - low) / (end - start)
        return slope, low - slope * start

    flat, stiff = line(0.13, 0.14), line(0.60, 0.70)
    assert (flat[1] - stiff[1]) / (stiff[0] - flat[0]) == pytest.approx(ROUND.post_yield_strain, abs=1e-4)
    assert flat[0] == pytest.approx(ROUND.yield_slope_mpa, rel=1e-3)
    assert stiff[0] == pytest.approx(ROUND.post_yield_slope_mpa, rel=1e-9)
    elastic = line(0.008, 0.010)
    assert elastic[0] == pytest.approx(ROUND.modulus_mpa, rel=0.01)
    assert (flat[1] - elastic[1]) / (elastic[0] - flat[0]) == pytest.approx(ROUND.yield_strain, abs=2e-4)


def test_the_elastic_line_meets_zero_stress_at_zero_strain() -> None:
    low, high = ROUND.stress_mpa(0.004), ROUND.stress_mpa(0.005)
    slope = (high - low) / 0.001
    assert 0.004 - low / slope == pytest.approx(0.0, abs=5e-6)


def test_a_slack_strand_carries_nothing() -> None:
    assert ROUND.stress_mpa(-0.02) == 0.0
    assert 0.0 < ROUND.stress_mpa(-0.0005) < ROUND.stress_mpa(0.0) < 2.0


@given(st.floats(-0.05, 0.8))
def test_slope_is_the_derivative_of_stress(strain: float) -> None:
    step = 1e-6
    numeric = (ROUND.stress_mpa(strain + step) - ROUND.stress_mpa(strain - step)) / (2 * step)
    assert ROUND.slope_mpa(strain) == pytest.approx(numeric, rel=1e-4, abs=1e-2)


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1.0))
def test_softplus_lies_above_its_two_lines_and_within_its_width(x: float, width: float) -> None:
    value = softplus(x, width)
    assert max(x, 0.0) <= value <= max(x, 0.0) + width * math.log(2) * (1 + 1e-12) + abs(x) * 1e-15
    assert 0.0 <= logistic(x, width) <= 1.0
