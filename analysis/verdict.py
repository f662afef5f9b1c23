"""The pull against the guideline: meets, below, too close to call, or no verdict.

Owns the decision rule (JCGM 106:2012: probability of conformity against a lower limit, guarded on both sides)
and the sentence. Must not know how elongation and its uncertainty were found. The sentence says what was
measured and how sure that is; it never says that a treatment is safe.
"""

from __future__ import annotations

import math

from analysis.guideline import Guideline
from analysis.results import Measured, NotMeasured, Quantity, Verdict
from analysis.words import percent, short, with_uncertainty

#: What stands behind every verdict: the stretch test is one of the tests made before a chemical service.
ONE_OF_SEVERAL = "This is one of several tests; the product maker's instructions and the other tests still count."

_CENSORED = {
    "no_break": "The strand had not broken when the pull ended",
    "stopped": "The pull was stopped before the strand broke",
    "slipped": "The strand slipped in a clamp",
    "clamp_break": "The strand broke at the clamp",
}


def normal_cdf(z: float) -> float:
    """Probability that a standard normal variable is at most z."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def student_cdf(t: float, dof: int) -> float:
    """Probability that Student's t with whole degrees of freedom is at most t.

    The finite series of Abramowitz and Stegun 26.7.3 (odd) and 26.7.4 (even).
    """
    theta = math.atan2(t, math.sqrt(dof))
    cosine2 = math.cos(theta) ** 2
    term = total = 0.0
    if dof % 2:
        for k in range(1, (dof - 1) // 2 + 1):
            term = math.cos(theta) if k == 1 else term * cosine2 * (2 * k - 2) / (2 * k - 1)
            total += term
        return 0.5 + (theta + math.sin(theta) * total) / math.pi
    for k in range(dof // 2):
        term = 1.0 if k == 0 else term * cosine2 * (2 * k - 1) / (2 * k)
        total += term
    return 0.5 + 0.5 * math.sin(theta) * total


def probability_at_least(value: float, u: float, limit: float, dof: float = math.inf) -> float:
    """Probability that the quantity is at least `limit` (JCGM 106:2012 section 7, one lower limit).

    Normal, or Student's t where the uncertainty rests on few degrees of freedom (rounded down, GUM G.4.1).
    """
    if u <= 0.0:
        return 1.0 if value >= limit else 0.0
    z = (value - limit) / u
    return normal_cdf(z) if dof > 200.0 else student_cdf(z, max(1, math.floor(dof)))


def judge(
    outcome: str,
    elongation: Quantity,
    reached: Measured | None,
    guideline: Guideline,
    dof: float = math.inf,
) -> Verdict:
    """Hold the elongation at break against the guideline; a censored pull counts only for what it showed.

    `reached` is the furthest strain certainly reached with its uncertainty; None where strain can't be had.
    """
    if outcome == "broke" and isinstance(elongation, Measured):
        return _judge_break(elongation, guideline, dof)
    if outcome in _CENSORED and reached is not None:
        return _judge_censored(outcome, reached, guideline)
    reason = elongation.reason if isinstance(elongation, NotMeasured) else "the test can't be used"
    return _verdict("no_verdict", guideline, None, f"No verdict: {reason}. {ONE_OF_SEVERAL}")


def _verdict(name: str, guideline: Guideline, probability: float | None, statement: str) -> Verdict:
    return Verdict(name, guideline.lower_limit_pct, probability, statement)


def _judge_break(elongation: Measured, guideline: Guideline, dof: float) -> Verdict:
    limit = guideline.lower_limit_pct
    p = probability_at_least(elongation.value, elongation.u, limit, dof)
    stretched = f"The strand stretched {with_uncertainty(elongation.value, elongation.u, '%')} before it broke"
    sure = f"the probability that it reaches the {short(limit)} % guideline is {percent(p)}"
    if p >= guideline.confidence:
        return _verdict("meets", guideline, p, f"{stretched}: it meets the guideline; {sure}. {ONE_OF_SEVERAL}")
    if p <= 1.0 - guideline.confidence:
        return _verdict("below", guideline, p, f"{stretched}: below the guideline; {sure}. {ONE_OF_SEVERAL}")
    advice = "Too close to call: pull more strands."
    return _verdict("too_close", guideline, p, f"{stretched}; {sure}. {advice} {ONE_OF_SEVERAL}")


def _judge_censored(outcome: str, reached: Measured, guideline: Guideline) -> Verdict:
    limit = guideline.lower_limit_pct
    p = probability_at_least(reached.value, reached.u, limit)
    said = f"{_CENSORED[outcome]}; it had stretched at least {with_uncertainty(reached.value, reached.u, '%')}"
    if p >= guideline.confidence:
        sure = f"at least {percent(p)}" if p <= 0.999 else percent(p)
        text = f"{said}, so it meets the {short(limit)} % guideline (probability {sure}). {ONE_OF_SEVERAL}"
        return _verdict("meets", guideline, p, text)
    text = f"No verdict: {said}, which does not settle whether it reaches {short(limit)} %. Pull another strand."
    return _verdict("no_verdict", guideline, None, f"{text} {ONE_OF_SEVERAL}")
