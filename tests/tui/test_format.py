"""Digits follow the uncertainty, as JCGM 100:2008 (GUM) rounds; the `uncertainties` package is the oracle."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from analysis.results import QUANTITIES, Measured, NotMeasured
from tui.format import (
    decimals,
    fixed,
    label_of,
    percent_chance,
    plain,
    quantity_text,
    unit_of,
    value_and_u,
)


@pytest.mark.parametrize(
    ("value", "u", "expected"),
    [
        # GUM 7.2.6: 10.057 62 ohm with u 27 milliohm is quoted as 10.058 ohm.
        (10.05762, 0.027, ("10.058", "0.027")),
        # GUM 7.2.6: u = 28.05 kHz is rounded to 28 kHz.
        (1000.0, 28.05, ("1000", "28")),
        # GUM 7.2.2: m = 100.021 47 g, u = 0.35 mg.
        (100.02147, 0.00035, ("100.02147", "0.00035")),
        # Rounding carries: the place is that of the rounded uncertainty.
        (5.0, 0.0996, ("5.00", "0.10")),
        (41.3217, 0.6231, ("41.32", "0.62")),
        (-0.0001, 0.02, ("0.000", "0.020")),
        (12345.0, 980.0, ("12340", "980")),
        (0.0, 0.5, ("0.00", "0.50")),
    ],
)
def test_value_and_u_share_their_last_place(value: float, u: float, expected: tuple[str, str]) -> None:
    assert value_and_u(value, u) == expected


@given(
    st.floats(min_value=-1e4, max_value=1e4, allow_nan=False),
    st.floats(min_value=1e-6, max_value=1e3, allow_nan=False),
)
def test_rounding_agrees_with_the_uncertainties_package(value: float, u: float) -> None:
    """Up to the last place, where a tie may fall either way in binary."""
    ours_value, ours_u = value_and_u(value, u)
    theirs_value, theirs_u = f"{ufloat(value, u):.2uf}".strip("()").split("+/-")
    one_place = 10.0 ** -decimals(u)
    assert math.isclose(float(ours_value), float(theirs_value), abs_tol=1.001 * one_place)
    assert math.isclose(float(ours_u), float(theirs_u), abs_tol=1.001 * one_place)
    if decimals(u) > 0:
        assert len(ours_value.partition(".")[2]) == len(theirs_value.partition(".")[2])


@given(st.floats(min_value=1e-6, max_value=1e3), st.floats(min_value=-1e3, max_value=1e3))
def test_rounding_moves_a_value_by_at_most_half_a_place(u: float, value: float) -> None:
    text, _ = value_and_u(value, u)
    assert abs(float(text) - value) <= 0.5000001 * 10.0 ** -decimals(u)
    assert "e" not in text
    assert text != "-0"


@pytest.mark.parametrize("u", [0.0, math.nan, math.inf, -1.0])
def test_an_unusable_uncertainty_is_not_printed(u: float) -> None:
    assert value_and_u(41.3217, u) == ("41.32", "")


def test_a_quantity_is_a_value_or_its_reason() -> None:
    assert quantity_text("elongation_at_break_pct", Measured(41.3217, 0.6231)) == "41.3 % ± 1.2 %"
    assert quantity_text("stress_at_break_mpa", NotMeasured("no diameter")) == "not measured: no diameter"
    assert quantity_text("force_max_n", Measured(1.25, 0.0)) == "1.25 N"
    assert quantity_text("work_to_break_uj", Measured(9365.0, 10.0)) == "9365 µJ ± 20 µJ"
    assert quantity_text("work_to_break_uj", Measured(1_260_000.0, 60_000.0)) == "1260 mJ ± 120 mJ"
    assert quantity_text("work_to_break_uj", Measured(2.5e7, 1e6)) == "25.0 J ± 2.0 J"


def test_every_quantity_has_words_and_a_unit() -> None:
    for name in QUANTITIES:
        assert unit_of(name)
        assert "_" not in label_of(name)
    assert unit_of("work_to_20pct_mj_m3") == "MJ/m³"
    assert unit_of("humidity_pct") == "%"
    assert unit_of("note") == ""


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (None, "unknown"),
        (math.nan, "unknown"),
        (0.0, "0 N"),
        (20.0, "20 N"),
        (1234567.0, "1235000 N"),
        (-0.5, "-0.5 N"),
        (0.123456, "0.1235 N"),
    ],
)
def test_plain_values(value: float | None, expected: str) -> None:
    assert plain(value, "N") == expected


def test_fixed_never_says_minus_nought() -> None:
    assert fixed(-0.0004, 2) == "0.00"


def test_a_chance_is_never_a_certainty() -> None:
    assert percent_chance(1.0) == "more than 99 %"
    assert percent_chance(0.0) == "less than 1 %"
    assert percent_chance(0.95) == "95 %"
