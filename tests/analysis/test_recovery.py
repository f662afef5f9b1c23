"""Known truths are recovered under noise, slack, glitches, lag and drift, and stated uncertainties hold them.

The tables over ten thousand pulls are made by `tests/bench/recovery.py` with the same draws.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.analyse import analyse
from analysis.budget import budget_of, coverage_factor
from analysis.details import propagate_details
from analysis.guideline import Guideline
from analysis.montecarlo import simulate
from analysis.results import QUANTITIES
from analysis.study import Study, study_pull
from analysis.synthetic import Truth, make_trace
from recordings.format import ForceCalibration
from tests.analysis.curves import value
from tests.bench.recovery import CASES, RESULTS, Recovered, draw_truth, recover, summarise

PULLS = 40


@pytest.fixture(scope="module")
def pulls() -> list[Recovered]:
    return [recover(case, 70_000 + seed) for case in CASES for seed in range(PULLS)]


def test_every_pull_broke_and_gave_every_result(pulls: list[Recovered]) -> None:
    assert {pull.outcome for pull in pulls} == {"broke"}
    assert all(set(pull.errors) == set(RESULTS) for pull in pulls)


def test_stated_uncertainties_hold_the_truth(pulls: list[Recovered]) -> None:
    """k = 2 should hold the truth in 95.4 of 100 pulls; 400 pulls leave that uncertain by a percent either way."""
    for row in summarise(pulls):
        assert row.n == len(CASES) * PULLS
        assert 0.90 <= row.inside_k2 <= 0.985, row


def test_nothing_is_systematically_off(pulls: list[Recovered]) -> None:
    """Over all cases the mean error is a small share of the uncertainty; elongation is off by 0.1 % (median)."""
    for row in summarise(pulls):
        assert abs(row.mean) < 0.2 * row.median_u, row
        if row.name == "elongation_at_break_pct":
            assert row.median_size < 0.11


@pytest.mark.parametrize(
    ("case", "limit_pct"),
    [("clean", 0.03), ("glitches, lag and slack", 0.06), ("slow filter", 0.05), ("much slack", 0.03)],
)
def test_elongation_where_the_gauge_length_is_known(case: str, limit_pct: float) -> None:
    """What the analysis itself adds: without scale errors the median error stays far below 0.1 % strain."""
    chosen = next(one for one in CASES if one.name == case)
    errors = []
    for seed in range(12):
        drawn = draw_truth(chosen, np.random.default_rng(seed))
        ideal = Truth(
            knots=drawn.knots,
            slack_mm=drawn.slack_mm,
            lag_s=drawn.lag_s,
            noise_n=drawn.noise_n,
            diameter_um=drawn.diameter_um,
            n_per_count=drawn.n_per_count,
            force_calibration=ForceCalibration(drawn.n_per_count, kind="weights"),
        )
        found = analyse(make_trace(ideal, seed), Guideline())
        errors.append(abs(value(found.elongation_at_break_pct) - 100.0 * ideal.break_strain))
    assert float(np.median(errors)) < limit_pct


def pulled(seed: int = 3) -> Study:
    found = study_pull(make_trace(draw_truth(CASES[1], np.random.default_rng(seed)), seed))
    assert isinstance(found, Study)
    return found


@pytest.mark.parametrize("seed", [3, 4])
def test_propagation_agrees_with_monte_carlo(seed: int) -> None:
    """JCGM 101:2008: every input drawn from its distribution; the spread is that of the law of propagation."""
    study = pulled(seed)
    trials = simulate(study, trials=100_000, seed=seed)
    stated_values = study.measured.values | propagate_details(study).values
    assert set(trials) == set(stated_values)
    for name, stated in stated_values.items():
        found = trials[name]
        assert found.u == pytest.approx(stated.u, rel=0.02), name
        assert found.mean == pytest.approx(stated.value, abs=0.05 * stated.u), name
        assert found.high - found.low == pytest.approx(2.0 * 1.96 * stated.u, rel=0.04), name


def test_results_share_their_inputs() -> None:
    """Stress is force over cross-section: what they share is the force, so the covariance is u(F)^2 / A."""
    study = pulled()
    measured, area_um2 = study.measured, study.specimen.area_um2
    assert area_um2 is not None
    shared = measured.covariance("force_at_break_n", "stress_at_break_mpa")
    assert shared == pytest.approx(measured.values["force_at_break_n"].u ** 2 / area_um2 * 1e6, rel=1e-6)
    assert measured.covariance("stress_at_break_mpa", "stress_at_break_mpa") == pytest.approx(
        measured.values["stress_at_break_mpa"].u ** 2
    )


def test_the_budget_adds_up_and_names_the_largest_first() -> None:
    study = pulled()
    for name in (*QUANTITIES, "chord_modulus_gpa", "work_factor"):
        budget = budget_of(study, name)
        assert budget is not None, name
        shares = [row.share for row in budget.rows]
        assert np.hypot.reduce(shares) == pytest.approx(budget.result.u, rel=1e-9)
        assert sum(row.variance_pct for row in budget.rows) == pytest.approx(100.0)
        assert [row.variance_pct for row in budget.rows] == sorted(
            (r.variance_pct for r in budget.rows), reverse=True
        )
        assert all(row.advice for row in budget.rows)
        assert budget.half_width == pytest.approx(budget.k * budget.result.u)
    elongation, modulus = (budget_of(study, name) for name in ("elongation_at_break_pct", "initial_modulus_gpa"))
    assert elongation is not None
    assert modulus is not None
    assert elongation.rows[0].name == "gauge length"
    assert modulus.rows[0].name in (
        "cross-section",
        "stage position in the straight part",
        "slope of the straight part",
    )


def test_no_budget_for_what_was_not_measured() -> None:
    found = study_pull(make_trace(Truth(breaks=False), as_table=True))
    assert isinstance(found, Study)
    for name in ("elongation_at_break_pct", "work_factor", "tenacity_cn_per_tex", "no such result"):
        assert budget_of(found, name) is None, name
    assert budget_of(found, "yield_strain_pct") is not None


#: Two-sided 95 % factors of Student's t: NIST/SEMATECH e-Handbook 1.3.6.7.2 (from memory), column 0.975.
STUDENT = [(1, 12.7062), (2, 4.3027), (3, 3.1824), (5, 2.5706), (10, 2.2281), (30, 2.0423), (120, 1.9799)]


@pytest.mark.parametrize(("dof", "factor"), STUDENT)
def test_coverage_factors(dof: int, factor: float) -> None:
    assert coverage_factor(dof) == pytest.approx(factor, abs=5e-5)
    assert coverage_factor(dof + 0.7) == pytest.approx(factor, abs=5e-5)
    assert coverage_factor(np.inf) == pytest.approx(1.959964, abs=1e-6)


def test_every_input_widens_something_and_only_what_it_should() -> None:
    """The gauge length moves no force, the force scale no strain at break, the cross-section only stresses."""
    parts = pulled().measured.parts
    for name in ("force_max_n", "work_to_break_uj"):
        assert "gauge length" not in parts[name]
        assert "cross-section" not in parts[name]
    assert "force scale" not in parts["elongation_at_break_pct"]
    assert "cross-section" not in parts["yield_strain_pct"]
    seen = {one for found in parts.values() for one in found}
    assert {
        "gauge length",
        "cross-section",
        "force scale",
        "extension scale",
        "zero of force",
        "give of the rig",
    } <= seen


def test_shares_have_the_size_that_the_formulas_give() -> None:
    """By hand: 0.1 mm of 30 mm on 45 %; 1 % of the diameter is 2 % of a stress; a force scale moves every force."""
    truth = Truth(
        force_calibration=ForceCalibration(1.5e-7, u_rel=0.004, kind="weights"),
    )
    trace = make_trace(truth)
    assert trace.specimen is not None
    trace = replace(trace, specimen=replace(trace.specimen, u_gauge_length_mm=0.1, u_diameter_um=0.7))
    found = study_pull(trace)
    assert isinstance(found, Study)
    parts = found.measured.parts
    assert abs(parts["elongation_at_break_pct"]["gauge length"]) == pytest.approx(45.0 * 0.1 / 30.0, rel=1e-4)
    assert abs(parts["stress_at_break_mpa"]["cross-section"]) == pytest.approx(0.02 * 200.0, rel=1e-3)
    assert abs(parts["force_max_n"]["force scale"]) == pytest.approx(0.004 * 0.7697, rel=1e-3)
    assert abs(parts["initial_modulus_gpa"]["cross-section"]) == pytest.approx(0.02 * 4.0, rel=1e-3)


def test_the_covariance_of_a_curved_calibration_counts() -> None:
    """F = a x + b x^2 with correlated a and b: u2 = x2 ua2 + x4 ub2 + 2 x3 cov, by hand at the greatest force."""
    a, ua, ub = 1.5e-7, 2e-10, 6e-17
    for r in (-0.9, 0.0, 0.9):
        cal = ForceCalibration(
            a, u_n_per_count=ua, n_per_count2=0.0, u_n_per_count2=ub, cov=r * ua * ub, kind="weights"
        )
        found = study_pull(make_trace(Truth(force_calibration=cal)))
        assert isinstance(found, Study)
        parts = found.measured.parts["force_max_n"]
        x = 0.7697 / a
        wanted = np.sqrt(x**2 * ua**2 + x**4 * ub**2 + 2.0 * x**3 * r * ua * ub)
        fit = np.hypot(*(parts.get(f"force calibration fit, {part}", 0.0) for part in ("slope", "curvature")))
        assert fit == pytest.approx(wanted, rel=1e-3)


def test_an_uncalibrated_scale_is_wide() -> None:
    found = study_pull(make_trace(Truth(force_calibration=ForceCalibration(1.5e-7, kind="nominal"))))
    assert isinstance(found, Study)
    assert found.measured.values["force_max_n"].u > 0.02 * 0.77
