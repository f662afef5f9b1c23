"""A calibration with weights: truth recovered, and everything that isn't a straight scale told apart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.metrology.force_calibration import ForceReport, calibrate_force
from analysis.metrology.force_limits import ForceErrors, class_reached
from analysis.metrology.gravity import normal_gravity
from analysis.metrology.load_rows import load_rows
from analysis.metrology.load_steps import LoadStep
from analysis.metrology.polynomial import fit_polynomial
from analysis.metrology.weights import force_n, weight_of_class

GRAVITY = normal_gravity(51.5)
COUNTS_PER_N = 3.5e6
UP_AND_DOWN = (0, 10, 20, 50, 100, 150, 100, 50, 20, 10, 0, 10, 20, 50, 100, 150, 0)
WEIGHTS = {m: weight_of_class(m, "M1") for m in (10.0, 20.0, 50.0, 100.0, 150.0)}

# Two-sided calibration of a cheap beam cell (mass in g, reading): J. L. Berna Moya (2025), repository
# telenaco/FARE-KE, MIT licence. One line through both sides is off by up to 12.6 g; each side alone is straight.
TWO_SIDED = (
    (-1500.52, -549260), (-1056.84, -429255), (-620.06, -311360), (-586.93, -302330), (-443.68, -263680),
    (-401.45, -252230), (-286.1, -221150), (-150.15, -184400), (0, -143690), (150.15, -95650), (286.1, -58900),
    (401.45, -27815), (443.68, -16350), (586.93, 22310), (620.06, 31250), (1056.84, 149240), (1500.52, 269250),
)  # fmt: skip


def run(masses: tuple[float, ...], *, bend: float = 0.0, noise: float = 150.0, seed: int = 1) -> list[LoadStep]:
    """Steps of a cell with a known scale and a known bend (share of force per newton)."""
    rng, steps, before = np.random.default_rng(seed), [], -1.0
    for mass in masses:
        force = force_n(mass, GRAVITY.value_m_s2)
        counts = COUNTS_PER_N * force * (1 + bend * force) + 8000 + rng.normal(0, noise / 5)
        steps.append(LoadStep(mass, counts, noise, 25, mass >= before))
        before = mass
    return steps


def judge(steps: list[LoadStep]) -> ForceReport:
    return calibrate_force(steps, WEIGHTS, GRAVITY, date="2026-11-25", person="T1")


def codes(report: ForceReport) -> set[str]:
    return {finding.code for finding in report.findings}


def test_a_good_run_recovers_the_scale_within_its_uncertainty() -> None:
    misses = 0
    for seed in range(200):
        calibration = judge(run(UP_AND_DOWN, seed=seed)).calibration
        assert calibration is not None
        off = abs(calibration.n_per_count * COUNTS_PER_N - 1)
        misses += off > 1.96 * calibration.u_n_per_count * COUNTS_PER_N
    # 95 % intervals: 200 runs miss 10 +- 3.1
    assert 3 <= misses <= 20


def test_a_good_run_is_of_the_best_class_with_nothing_to_say() -> None:
    report = judge(run(UP_AND_DOWN))
    assert report.class_name == "0.5"
    assert report.findings == ()
    assert report.calibration is not None
    assert (report.calibration.kind, report.calibration.date, report.calibration.person) == (
        "weights",
        "2026-11-25",
        "T1",
    )


def test_a_bent_scale_is_fitted_with_a_quadratic_and_says_so() -> None:
    report = judge(run(UP_AND_DOWN, bend=0.02))
    assert codes(report) == {"bent"}
    calibration = report.calibration
    assert calibration is not None
    counts = COUNTS_PER_N * 1.0 * 1.02
    assert calibration.n_per_count * counts + calibration.n_per_count2 * counts**2 == pytest.approx(1.0, rel=2e-3)


@pytest.mark.parametrize("masses", [(0, 50, 100), (0, 50, 100, 50, 0), (0, 100), (0, 100, 100, 100)])
def test_fewer_than_three_weights_are_refused(masses: tuple[float, ...]) -> None:
    report = judge(run(masses))
    assert codes(report) == {"too_few_weights"}
    assert not report.accepted


def test_two_weights_changed_over_are_named() -> None:
    exchanged = {20.0: 50.0, 50.0: 20.0}
    steps = [replace(s, mass_g=exchanged.get(s.mass_g, s.mass_g)) for s in run(UP_AND_DOWN)]
    report = judge(steps)
    assert not report.accepted
    assert "20 g and 50 g look changed over" in report.findings[0].sentence


def test_a_step_between_the_two_directions_is_refused() -> None:
    ordered = sorted(TWO_SIDED, key=lambda row: row[0] != 0)
    report = judge([LoadStep(mass, counts, 100, 10) for mass, counts in ordered])
    assert not report.accepted
    step = next(f for f in report.findings if f.code == "step_at_zero")
    assert "28 g" in step.sentence
    # the single line's residual that hides behind a fit without a look
    mass, counts = np.array(TWO_SIDED).T
    line = fit_polynomial(mass, counts, 1)
    assert line.coefficients[1] == pytest.approx(274.36, abs=0.01)
    assert np.max(np.abs(line.residuals)) / line.coefficients[1] == pytest.approx(12.6, abs=0.2)


def test_a_scale_that_saturates_is_not_straight() -> None:
    steps = [replace(s, counts=min(s.counts, 2.0e6)) for s in run((0, 20, 50, 100, 150, 0))]
    report = judge(steps)
    assert not report.accepted
    assert "not_straight" in codes(report)


def test_a_dead_cell_is_told_apart() -> None:
    report = judge([replace(s, counts=4242.0) for s in run(UP_AND_DOWN)])
    assert codes(report) == {"no_response"}


def test_what_a_short_run_does_not_show_is_said() -> None:
    report = judge(run((0, 100, 10, 50, 150)))
    assert report.accepted
    assert codes(report) == {"not_repeated", "not_reversed", "no_zero_return", "out_of_order"}
    assert codes(judge(run((0, 10, 50, 100)))) == {"not_repeated", "not_reversed", "no_zero_return"}


def test_rising_runs_repeated_are_in_order() -> None:
    assert codes(judge(run((0, 10, 50, 100, 0, 10, 50, 100, 0)))) == {"not_reversed"}


def test_the_rows_say_what_each_load_reads_as_used() -> None:
    report = judge(run(UP_AND_DOWN, noise=0.0))
    rows = load_rows(report)
    assert [row.mass_g for row in rows] == list(UP_AND_DOWN)
    top = rows[5]
    assert top.rising
    assert top.force_n == pytest.approx(force_n(150, GRAVITY.value_m_s2))
    assert top.indicated_n == pytest.approx(top.force_n, rel=1e-9)
    assert top.error_pct == pytest.approx(0.0, abs=1e-6)
    assert rows[0].error_pct is None


def test_the_rows_of_a_refused_run_are_those_of_the_line_or_of_nothing() -> None:
    exchanged = {20.0: 50.0, 50.0: 20.0}
    refused = judge([replace(s, mass_g=exchanged.get(s.mass_g, s.mass_g)) for s in run(UP_AND_DOWN)])
    assert not refused.accepted
    errors = {row.mass_g: row.error_pct for row in load_rows(refused) if row.error_pct is not None}
    assert errors[20.0] is not None
    assert errors[20.0] > 100
    assert all(row.indicated_n is None for row in load_rows(judge(run((0, 50, 100)))))


def test_a_run_without_a_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="take the zero first"):
        judge(run((10, 20, 50)))


def test_classes_are_judged_by_every_limit() -> None:
    # Worked by hand: true 1.0000 N, readings 1.004, 1.007, 1.006 N give q +0.567 %, b 0.30 %: class 1, not 0.5.
    assert class_reached(ForceErrors(0.5667, 0.30, None, None)) == "1"
    assert class_reached(ForceErrors(0.4, 0.30, 0.75, 0.05)) == "0.5"
    assert class_reached(ForceErrors(0.4, 0.30, 0.75, 0.06)) == "1"
    assert class_reached(ForceErrors(3.01, None, None, None)) is None
