"""One strand before and after: the ratio of known curves, what cancels, and what can't be compared."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from analysis.errors import InputError
from analysis.kinds.before_after import BeforeAfter, compare_before_after
from analysis.results import Measured, NotMeasured
from analysis.synthetic import KERATIN, Truth, make_trace
from analysis.trace import Trace
from recordings.format import ForceCalibration, Method, Specimen
from tests.analysis.kinds.loops import CURVE, Loop, drawn, make_loop

#: Percent of the untreated value left after 1, 2 and 3 permanent waves, and after 4 h in 6 % hydrogen peroxide:
#: work to 20 % (J. Soc. Cosmet. Chem. 44 (1993) 362, table VI: 4.4 untreated; 3.0, 2.0, 2.7; 2.7).
PUBLISHED = {"one wave": 3.0 / 4.4, "two waves": 2.0 / 4.4, "three waves": 2.7 / 4.4, "peroxide": 2.7 / 4.4}


def weaker(share: float) -> Truth:
    """The same strand with every stress taken down to a share."""
    return replace(CURVE, knots=tuple((e, share * s) for e, s in KERATIN))


def pair(share: float, seed: int = 0, base: Loop | None = None) -> tuple[Trace, Trace]:
    """Two proofs of one strand by one rig: the gauge length set anew each time, the scales off alike."""
    loop = drawn(base or Loop(), seed)
    loop = replace(loop, reached=0.206)
    again = drawn(base or Loop(), seed + 500)
    after = replace(
        loop, curve=weaker(share), gauge_error_mm=again.gauge_error_mm, slack_mm=again.slack_mm, zero_n=again.zero_n
    )
    return make_loop(loop, seed, kind="proof"), make_loop(after, seed + 1, kind="proof")


def measured(found: BeforeAfter) -> Measured:
    assert isinstance(found.work_to_20pct_left_pct, Measured), found.work_to_20pct_left_pct
    return found.work_to_20pct_left_pct


@pytest.mark.parametrize("treatment", PUBLISHED)
def test_published_shares_come_back(treatment: str) -> None:
    share = PUBLISHED[treatment]
    found = compare_before_after(*pair(share))
    assert abs(measured(found).value - 100.0 * share) < 3.0 * measured(found).u
    assert isinstance(found.force_at_15pct_left_pct, Measured)
    assert found.force_at_15pct_left_pct.value == pytest.approx(100.0 * share, abs=0.5)


@pytest.mark.parametrize("noise_n", [5e-5, 5e-4])
@pytest.mark.parametrize("share", [1.0, 0.61, 0.35])
def test_ratio_within_its_uncertainty(share: float, noise_n: float) -> None:
    off = []
    for seed in range(30):
        found = measured(compare_before_after(*pair(share, seed, Loop(noise_n=noise_n))))
        off.append((found.value - 100.0 * share) / found.u)
    assert float(np.mean(np.abs(off) < 2.0)) >= 0.85
    assert abs(float(np.mean(off))) < 0.7


def test_work_before_and_after_are_the_integrals() -> None:
    """Area times the integral of stress to 20 % strain: 16.067857 MJ/m3, by hand, for the sharp trilinear curve."""
    found = compare_before_after(*pair(1.0, base=Loop(curve=Truth(), noise_n=1e-6)))
    by_hand = 16.067857 * math.pi / 4.0 * 0.07**2 * 1e3
    assert isinstance(found.work_to_20pct_before_uj_per_mm, Measured)
    assert found.work_to_20pct_before_uj_per_mm.value == pytest.approx(by_hand, rel=5e-3)


def test_what_is_the_same_in_both_pulls_cancels() -> None:
    before, after = pair(0.6)
    unsure = ForceCalibration(1e-8, u_rel=0.05, kind="weights", identifier="one")
    same = [replace(t, force_calibration=unsure) for t in (before, after)]
    other = replace(after, force_calibration=replace(unsure, identifier="another"))
    together = measured(compare_before_after(*same))
    apart = measured(compare_before_after(same[0], other))
    assert together.u < 0.5
    assert apart.u == pytest.approx(60.0 * 0.05 * math.sqrt(2.0), rel=0.05)


def test_the_cross_section_cancels_and_need_not_be_known() -> None:
    before, after = pair(0.6)
    assert before.specimen is not None
    sized = [replace(t, specimen=replace(t.specimen, diameter_um=70.0)) for t in (before, after)]  # type: ignore[type-var]
    assert measured(compare_before_after(*sized)).value == measured(compare_before_after(before, after)).value
    assert measured(compare_before_after(*sized)).u == pytest.approx(
        measured(compare_before_after(before, after)).u
    )


def test_after_may_be_pulled_to_the_break() -> None:
    before, _ = pair(1.0)
    after = make_trace(replace(weaker(0.7), slack_mm=0.3, noise_n=5e-5, specimen=Specimen(30.0, reference="K-1")))
    found = compare_before_after(before, replace(after, date="2026-11-26", method=Method()))
    assert measured(found).value == pytest.approx(70.0, abs=0.6)
    assert "not_rested" not in [flag.code for flag in found.flags]


def test_as_json() -> None:
    found = compare_before_after(*pair(0.5))
    told = json.loads(json.dumps(found.to_json(), allow_nan=False))
    assert told["kind"] == "before_after"
    assert set(told["work_to_20pct_left_pct"]) == {"value", "u"}
    assert [flag["code"] for flag in told["flags"]].count("not_rested") == 1
    assert "lines" not in told


def test_the_statement_names_which_20_percent_is_meant_and_promises_nothing() -> None:
    statement = compare_before_after(*pair(0.5)).statement
    assert "20 % strain" in statement
    assert "not the guideline" in statement
    assert "safe" not in statement
    assert "not whether the treatment should be done" in statement


def test_pull_that_did_not_reach_20_percent() -> None:
    before, after = pair(0.5)
    short = make_loop(Loop(reached=0.16), kind="proof")
    for traces, which in (((short, after), "before"), ((before, short), "after")):
        found = compare_before_after(*traces)
        assert isinstance(found.work_to_20pct_left_pct, NotMeasured)
        assert f"{which} the treatment did not reach 20 %" in found.work_to_20pct_left_pct.reason
        assert isinstance(found.force_at_15pct_left_pct, Measured)
        assert "not measured" in found.statement


def described(trace: Trace, **more: str) -> Trace:
    assert trace.specimen is not None
    return replace(trace, specimen=replace(trace.specimen, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda a, b: (a, described(b, reference="K-2")), "not of one strand"),
        (
            lambda a, b: (described(a, strand="1"), described(b, strand="2")),
            "its strand is '1' before and '2' after",
        ),
        (
            lambda a, b: (described(a, condition="dry"), described(b, condition="wet")),
            "was dry before and wet after",
        ),
        (lambda a, b: (described(a, condition="dry"), b), "neither dry nor wet by its recording"),
        (lambda a, b: (a, replace(b, date="2026-11-24")), "is older than the one before"),
        (lambda a, b: (replace(a, specimen=None), b), "without a description of its strand"),
        (lambda a, b: (a, replace(b, force_n=None)), "no force in newtons"),
        (lambda a, b: (make_loop(Loop(reached=0.33), kind="proof"), b), "damaged by that alone"),
    ],
)
def test_what_can_not_be_compared(change: Callable[[Trace, Trace], tuple[Trace, Trace]], sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        compare_before_after(*change(*pair(0.5)))


def test_a_strand_that_broke_before_is_not_there_after() -> None:
    broken = replace(make_trace(Truth(noise_n=5e-5, specimen=Specimen(30.0, reference="K-1"))), date="2026-11-25")
    with pytest.raises(InputError, match="did not come whole out of the pull before"):
        compare_before_after(broken, pair(0.5)[1])
