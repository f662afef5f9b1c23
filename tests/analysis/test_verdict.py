"""The decision rule against JCGM 106:2012 and tables derived from it; the sentence; what censored pulls may say."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from analysis.guideline import Guideline
from analysis.results import Measured, NotMeasured
from analysis.verdict import judge, normal_cdf, probability_at_least, student_cdf

GUIDELINE = Guideline()

#: Probability that a strand meets a lower limit of 20 %, normal and Student's t with 5 degrees of freedom: derived
#: from JCGM 106:2012 section 7 with the two distribution functions.
LOWER_LIMIT_20 = [
    (25.0, 1.5, 0.9996, 0.9896),
    (22.0, 1.5, 0.9088, 0.8800),
    (20.0, 1.5, 0.5, 0.5),
    (18.0, 1.5, 0.0912, 0.1200),
    (15.0, 1.5, 0.0004, 0.0104),
    (21.0, 0.5, 0.9772, 0.9490),
    (23.29, 2.0, 0.9500, 0.9196),
]


@pytest.mark.parametrize(("y", "u", "normal", "t5"), LOWER_LIMIT_20)
def test_probability_against_a_lower_limit(y: float, u: float, normal: float, t5: float) -> None:
    assert probability_at_least(y, u, 20.0) == pytest.approx(normal, abs=6e-5)
    assert probability_at_least(y, u, 20.0, dof=5) == pytest.approx(t5, abs=6e-5)


def test_motor_oil_of_jcgm_106() -> None:
    # JCGM 106:2012 example in 7.4: viscosity 13.6, u 1.8, limits 12.5 and 16.3; 0.66 is printed.
    inside = probability_at_least(13.6, 1.8, 12.5) - probability_at_least(13.6, 1.8, 16.3)
    assert inside == pytest.approx(0.6626297865, abs=1e-9)


def test_container_of_jcgm_106() -> None:
    # Lower limit 490 kPa, measured 499 kPa, u 8.6 kPa: 0.85 (from memory; Phi(1.04651) recomputed).
    assert probability_at_least(499.0, 8.6, 490.0) == pytest.approx(0.85234, abs=5e-6)


@pytest.mark.parametrize(
    ("r", "risk"), [(0.0, 0.5), (0.83, 0.04846), (1.0, 0.02275), (1.25, 0.00621), (1.5, 0.00135)]
)
def test_risk_at_the_edge_of_a_guard_band(r: float, risk: float) -> None:
    # ILAC-G8:09/2019 and ISO 14253-1: a guard band of r U with U = 2 u leaves Phi(-2 r) (from memory, recomputed).
    u = 0.7
    assert 1.0 - probability_at_least(20.0 + r * 2.0 * u, u, 20.0) == pytest.approx(risk, abs=5e-6)


@pytest.mark.parametrize("dof", [1, 2, 3, 4, 5, 6, 7, 30, 200])
@pytest.mark.parametrize("t", [-7.0, -2.5, -1.0, 0.0, 0.3, 1.0, 2.0, 6.3138, 40.0])
def test_student_against_scipy(t: float, dof: int) -> None:
    assert student_cdf(t, dof) == pytest.approx(stats.t.cdf(t, dof), abs=1e-12)


@pytest.mark.parametrize("z", [-8.0, -1.645, 0.0, 0.5, 3.0])
def test_normal_against_scipy(z: float) -> None:
    assert normal_cdf(z) == pytest.approx(stats.norm.cdf(z), rel=1e-12)


def test_the_guard_band_is_1_645_u_wide_on_both_sides() -> None:
    u = 0.8
    edge = 1.6448536 * u

    def name(y: float) -> str:
        return judge("broke", Measured(y, u), Measured(y, u), GUIDELINE).verdict_class

    assert name(20.0 + edge + 1e-3) == "meets"
    assert name(20.0 + edge - 1e-3) == "too_close"
    assert name(20.0) == "too_close"
    assert name(20.0 - edge + 1e-3) == "too_close"
    assert name(20.0 - edge - 1e-3) == "below"


def test_another_confidence_and_limit() -> None:
    strict = Guideline(lower_limit_pct=30.0, confidence=0.99)
    found = judge("broke", Measured(31.0, 0.5), Measured(31.0, 0.5), strict)
    assert (found.verdict_class, found.guideline_pct) == ("too_close", 30.0)
    assert "30 %" in found.statement


def test_few_degrees_of_freedom_make_it_too_close() -> None:
    found = Measured(22.6, 1.5)
    assert judge("broke", found, found, GUIDELINE).verdict_class == "meets"
    assert judge("broke", found, found, GUIDELINE, dof=2.9).verdict_class == "too_close"


@pytest.mark.parametrize("outcome", ["no_break", "stopped", "slipped", "clamp_break"])
def test_censored_pulls_meet_by_what_they_showed_or_say_nothing(outcome: str) -> None:
    reason = NotMeasured("not seen")
    far = judge(outcome, reason, Measured(40.0, 0.5), GUIDELINE)
    assert far.verdict_class == "meets"
    assert "at least" in far.statement
    assert far.probability_meets == pytest.approx(1.0)
    for reached in (Measured(3.0, 0.1), Measured(19.9, 0.1), Measured(20.5, 0.5)):
        short = judge(outcome, reason, reached, GUIDELINE)
        assert short.verdict_class == "no_verdict"
        assert short.probability_meets is None
        assert "at least" in short.statement


def test_a_bad_test_gives_no_verdict() -> None:
    found = judge("bad_test", NotMeasured("the force channel froze"), Measured(40.0, 0.1), GUIDELINE)
    assert (found.verdict_class, found.probability_meets) == ("no_verdict", None)
    assert "the force channel froze" in found.statement


def test_a_break_without_a_gauge_length_gives_no_verdict() -> None:
    found = judge(
        "broke", NotMeasured("the gauge length is not known: give it with --gauge-length-mm"), None, GUIDELINE
    )
    assert found.verdict_class == "no_verdict"
    assert "--gauge-length-mm" in found.statement


@pytest.mark.parametrize(
    ("outcome", "y"),
    [("broke", 41.0), ("broke", 20.2), ("broke", 9.0), ("no_break", 45.0), ("slipped", 3.0), ("bad_test", 1.0)],
)
def test_statements_stay_within_what_was_measured(outcome: str, y: float) -> None:
    quantity = Measured(y, 0.4) if outcome == "broke" else NotMeasured("there is none")
    text = judge(outcome, quantity, Measured(y, 0.4), GUIDELINE).statement
    assert "one of several tests" in text
    for word in ("safe", "pass", "fail", "suitable", "recommend", "approved"):
        assert word not in text.lower()


def test_the_sentence_has_as_many_digits_as_the_uncertainty_carries() -> None:
    text = judge("broke", Measured(41.34567, 0.612), Measured(41.34567, 0.612), GUIDELINE).statement
    assert "41.3 % ± 1.2 %" in text
    assert "over 99.9 %" in text


def test_certainty_without_uncertainty_is_only_ever_on_the_limit() -> None:
    assert probability_at_least(20.0, 0.0, 20.0) == 1.0
    assert probability_at_least(math.nextafter(20.0, 0.0), 0.0, 20.0) == 0.0
