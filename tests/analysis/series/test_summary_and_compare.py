"""Small-sample intervals, series summaries and group comparisons against published examples."""

from __future__ import annotations

import pytest
from scipy.stats import false_discovery_control

from analysis.results import Measured, NotMeasured
from analysis.series.compare import GroupComparison, compare, hodges_lehmann, holm, permutation_p, welch_interval
from analysis.series.intervals import (
    grubbs,
    grubbs_critical,
    mean_interval,
    proportion_interval,
    strands_for_half_width,
    student_t,
    tolerance_factor,
)
from analysis.series.observation import LeftOut, Observation
from analysis.series.summary import summarise

# Grubbs' example of NIST/SEMATECH 1.3.5.17.1: mass-spectrometer measurements of a uranium isotope.
URANIUM = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
# Efron & Tibshirani (1993): survival of treated and control mice.
TREATED_MICE, CONTROL_MICE = [94, 197, 16, 38, 99, 141, 23], [52, 104, 146, 10, 50, 31, 40, 27, 46]
# Hollander & Wolfe: permeability of the chorioamnion.
AT_TERM, EARLIER = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46], [1.15, 0.88, 0.90, 0.74, 1.21]


def strands(*values: float, censored: tuple[float, ...] = ()) -> list[Observation]:
    broke = [Observation(f"strand {i}", v, 0.3, censored=False) for i, v in enumerate(values, 1)]
    return broke + [Observation(f"whole {v:g}", v, 0.0, censored=True) for v in censored]


@pytest.mark.parametrize(
    ("dof", "t95", "t975"), [(1, 6.3138, 12.7062), (5, 2.0150, 2.5706), (10, 1.8125, 2.2281), (30, 1.6973, 2.0423)]
)
def test_student_t(dof: int, t95: float, t975: float) -> None:
    # NIST/SEMATECH e-Handbook 1.3.6.7.2
    assert student_t(0.95, dof) == pytest.approx(t95, abs=5e-5)
    assert student_t(0.975, dof) == pytest.approx(t975, abs=5e-5)


@pytest.mark.parametrize(
    ("hits", "n", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
        (5, 5, 0.5655, 1.0),
    ],
)
def test_wilson(hits: int, n: int, low: float, high: float) -> None:
    # Newcombe, Statistics in Medicine 17 (1998) 857-872, from memory; 5/5 derived
    interval = proportion_interval(hits, n)
    assert (interval.low, interval.high) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(
    ("n", "share", "confidence", "k"),
    [
        (43, 0.90, 0.99, 1.8739536),  # NIST/SEMATECH 7.2.6.3, exact form
        (40, 0.90, 0.99, 1.9017259),
        (5, 0.90, 0.95, 3.4066),
        (10, 0.90, 0.95, 2.3546),
        (10, 0.95, 0.95, 2.9110),
        (30, 0.95, 0.95, 2.2198),
    ],
)
def test_tolerance_factors(n: int, share: float, confidence: float, k: float) -> None:
    assert tolerance_factor(n, share, confidence) == pytest.approx(k, abs=1e-4)


def test_half_widths_and_how_many_strands() -> None:
    # half-width of a mean's 95 % interval in units of sd, t-based: n 5 1.2417, n 10 .7154, n 20 .4680
    for n, half in ((5, 1.2417), (10, 0.7154), (20, 0.4680)):
        interval = mean_interval(40.0, 1.0, n)
        assert (interval.high - interval.low) / 2 == pytest.approx(half, abs=5e-5)
        assert strands_for_half_width(1.0, half + 1e-4) == n
    assert strands_for_half_width(1.0, 1e-6) is None


def test_grubbs_names_the_outlier() -> None:
    found = grubbs(URANIUM)
    assert found is not None
    assert URANIUM[found.index] == 245.57
    assert found.g == pytest.approx(2.4687646, abs=1e-7)
    assert grubbs_critical(8, 0.05) == pytest.approx(2.032, abs=5e-4)
    assert grubbs(URANIUM[:-1]) is None
    assert grubbs([5, 5, 5, 5]) is None


def test_permutation_counts_every_division() -> None:
    # exact: 1608/11440 one-sided; |difference| at least as large: .278147
    p, exact = permutation_p(TREATED_MICE, CONTROL_MICE)
    assert exact
    assert p == pytest.approx(0.278147, abs=1e-6)


def test_hodges_lehmann_shift() -> None:
    assert hodges_lehmann(AT_TERM, EARLIER) == pytest.approx(0.305)


def test_holm_is_never_below_benjamini_hochberg_nor_above_bonferroni() -> None:
    p = [0.01, 0.04, 0.03, 0.005]
    corrected = holm(p)
    assert corrected == pytest.approx((0.03, 0.06, 0.06, 0.02))
    assert all(h >= bh - 1e-12 for h, bh in zip(corrected, false_discovery_control(p), strict=True))
    assert all(h <= min(1, 4 * raw) + 1e-12 for h, raw in zip(corrected, p, strict=True))


def test_welch_interval_of_equal_groups_is_students() -> None:
    interval = welch_interval([1, 2, 3], [4, 5, 6])
    assert interval.low == pytest.approx(-3 - 2.7764 * (2 / 3) ** 0.5, abs=1e-3)


def test_a_series_of_broken_strands() -> None:
    summary = summarise("crown", strands(41, 44, 38, 47, 40))
    assert isinstance(summary.mean_pct, Measured)
    assert summary.mean_pct.value == 42
    assert (summary.meets, summary.undecided) == (5, 0)
    assert isinstance(summary.tolerance_bound_pct, Measured)
    assert summary.tolerance_bound_pct.value == pytest.approx(42 - 3.4066 * 3.5355, abs=1e-3)
    assert "above the guideline" in summary.statement
    # sd 3.54: eight strands give +-2.96 % (t 2.365), seven +-3.27 % (t 2.447)
    assert summary.more_strands == 3


def test_a_mean_is_refused_where_strands_did_not_break() -> None:
    summary = summarise("crown", strands(38, 41, 44, censored=(50, 12)))
    assert isinstance(summary.mean_pct, NotMeasured)
    assert "did not break" in summary.mean_pct.reason
    assert summary.meets == 4
    assert summary.undecided == 1
    assert isinstance(summary.share_meets, NotMeasured)
    assert isinstance(summary.median_pct, Measured)


def test_an_outlier_is_named_and_kept() -> None:
    summary = summarise("nape", strands(41, 42, 40, 43, 41, 42, 9))
    assert summary.outliers == ("strand 7",)
    assert summary.n == 7
    assert summary.smallest_pct == 9


@pytest.mark.parametrize("values", [(), (40.0,), (40.0, 41.0)])
def test_too_few_strands_give_no_numbers(values: tuple[float, ...]) -> None:
    summary = summarise("sides", strands(*values), [LeftOut("x", "a bad test")])
    for quantity in (summary.mean_pct, summary.sd_pct, summary.tolerance_bound_pct, summary.share_meets):
        assert isinstance(quantity, NotMeasured)
    assert summary.left_out[0].reason == "a bad test"


def test_all_censored() -> None:
    summary = summarise("wet", strands(censored=(60, 60, 60, 60)))
    assert isinstance(summary.median_pct, NotMeasured)
    assert summary.meets == 4
    assert summary.weibull is None


def test_damaged_against_healthy() -> None:
    found = compare("lightened", strands(18, 22, 15, 20, 17), "virgin", strands(41, 44, 38, 47, 40))
    assert isinstance(found, GroupComparison)
    assert found.p == pytest.approx(2 / 252)  # the two extreme divisions of ten strands
    assert found.interval is not None
    assert found.interval.high < 0
    assert found.difference == pytest.approx(-23.6)


def test_censored_groups_go_to_the_log_rank_test() -> None:
    found = compare("a", strands(18, 22, 15, 20), "b", strands(41, 44, censored=(60, 60)))
    assert isinstance(found, GroupComparison)
    assert found.test == "log-rank"
    assert found.difference is None


def test_groups_that_cannot_be_compared_say_why() -> None:
    assert "at least 3" in str(compare("a", strands(20), "b", strands(41, 44, 38)))
    assert "isn't known" in str(compare("a", strands(censored=(9, 9, 9)), "b", strands(41, 44, 38)))
