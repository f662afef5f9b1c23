"""The three joined lines against closed forms, an independent piecewise fitter, and brute force."""

from __future__ import annotations

import numpy as np
import pwlf
import pytest

from analysis.pull.elastic import choose_bends
from analysis.pull.regions import GRID, Bends, fit_three_lines, fit_two_lines
from analysis.pull.sums import Sums
from tests.analysis.curves import Array, trilinear


def keratin(n: int = 226) -> tuple[Array, Array]:
    strain = np.linspace(0.0, 0.45, n)
    return strain, trilinear(strain)


def residual(x: Array, y: Array, knots: tuple[float, ...]) -> float:
    """Sum of squared residuals of the best joined lines with these break points, by plain least squares."""
    basis = np.column_stack([np.ones_like(x), x, *(np.maximum(x - k, 0.0) for k in knots)])
    weights, *_ = np.linalg.lstsq(basis, y, rcond=None)
    return float(np.sum((y - basis @ weights) ** 2))


def three(x: Array, y: Array) -> Bends:
    found = fit_three_lines(Sums(x, y))
    assert found is not None
    return found


@pytest.mark.parametrize("n", [60, 226, 1501, 20_000])
def test_exact_on_straight_lines(n: int) -> None:
    x, y = keratin(n)
    found = three(x, y)
    assert found.knots == pytest.approx((0.02, 0.30), abs=1e-9)
    # Slopes of the closed form: 80/0.02, 15/0.28 and 105/0.15 MPa.
    assert [line.slope for line in found.lines] == pytest.approx([4000.0, 53.5714286, 700.0], rel=1e-7)
    assert found.sse == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_against_an_independent_fitter(seed: int) -> None:
    """pwlf (differential evolution, then gradients) on the same noisy points; it never finds a better place."""
    rng = np.random.default_rng(seed)
    x, y = keratin()
    y = y + rng.normal(0.0, (0.0, 0.5, 3.0)[seed], y.size)
    oracle = pwlf.PiecewiseLinFit(x, y, seed=seed)
    breaks = oracle.fit(3)[1:3]
    found = three(x, y)
    assert found.knots == pytest.approx(tuple(breaks), abs=2e-4)
    assert found.sse <= oracle.ssr * (1.0 + 1e-6) + 1e-9


@pytest.mark.parametrize("seed", range(20))
def test_no_pair_of_break_points_on_a_finer_grid_is_better(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    n = int(rng.integers(30, 90))
    x = np.sort(rng.uniform(0.0, 1.0, n))
    first, second = np.sort(rng.uniform(0.08, 0.92, 2))
    y = 5.0 * x - 4.5 * np.maximum(x - first, 0.0) + 3.0 * np.maximum(x - second, 0.0) + rng.normal(0.0, 0.05, n)
    found = fit_three_lines(Sums(x, y))
    if found is None:
        pytest.skip("no pair bends down and then up")
    assert found.sse == pytest.approx(residual(x, y, found.knots), rel=1e-6)
    best = min(
        residual(x, y, (u, v))
        for u in x[3:-3:2]
        for v in x[3:-3:2]
        if v - u >= 0.05 and _bends_as_asked(x, y, (u, v))
    )
    # The grid leaves out a few points, and the least span; what is left of the difference is within a few percent.
    assert found.sse <= best * 1.05 + 1e-12


def _bends_as_asked(x: Array, y: Array, knots: tuple[float, float]) -> bool:
    basis = np.column_stack([np.ones_like(x), x, *(np.maximum(x - k, 0.0) for k in knots)])
    weights, *_ = np.linalg.lstsq(basis, y, rcond=None)
    return bool(weights[2] < 0.0 < weights[3])


def test_the_refined_place_is_never_worse_than_the_grids() -> None:
    for seed in range(40):
        rng = np.random.default_rng(seed)
        x = np.linspace(0.0, 1.0, 300)
        y = np.cumsum(rng.normal(0.3, 1.0, 300))
        found = fit_three_lines(Sums(x, y))
        if found is None:
            continue
        share = np.linspace(0.0, 1.0, GRID) ** 1.6
        nodes = np.unique(x[(3 + share * 294).astype(int)])
        pairs = [
            residual(x, y, (u, v))
            for u in nodes[::3]
            for v in nodes[::3]
            if v - u >= 0.04 and _bends_as_asked(x, y, (u, v))
        ]
        assert found.sse <= min(pairs) * (1.0 + 1e-9)


def test_the_order_of_scales_does_not_matter() -> None:
    x, y = keratin()
    for factor, shift in ((1e-6, 0.0), (1e6, 5e6), (1.0, -40.0)):
        found = three(x * factor + shift, y)
        assert found.knots == pytest.approx(
            (0.02 * factor + shift, 0.30 * factor + shift), rel=1e-9, abs=1e-7 * factor
        )


def test_uneven_spacing_and_standing_still() -> None:
    rng = np.random.default_rng(5)
    x = np.sort(rng.beta(0.7, 1.4, 900)) * 0.45
    x[400:430] = x[400]
    assert three(x, trilinear(x)).knots == pytest.approx((0.02, 0.30), abs=1e-6)


def test_two_lines() -> None:
    x = np.linspace(0.0, 0.2, 150)
    found = fit_two_lines(Sums(x, trilinear(x)))
    assert found is not None
    assert found.knots == pytest.approx((0.02,), abs=1e-9)


def test_nothing_is_fitted_where_nothing_bends_as_asked() -> None:
    x = np.linspace(0.0, 1.0, 100)
    assert fit_two_lines(Sums(x, x**2)) is None
    assert choose_bends(Sums(x, x**2), 0.0) is None
    assert fit_three_lines(Sums(x[:8], x[:8])) is None


def test_lines_join() -> None:
    rng = np.random.default_rng(9)
    x, y = keratin(800)
    found = three(x, y + rng.normal(0.0, 1.0, 800))
    for knot, left, right in zip(found.knots, found.lines, found.lines[1:], strict=False):
        assert left.at(knot) == pytest.approx(right.at(knot), rel=1e-9)
