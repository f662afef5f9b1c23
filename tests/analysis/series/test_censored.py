"""Censored series against a published survival data set and a reference library."""

from __future__ import annotations

import lifelines
import pytest

from analysis.series.censored import kaplan_meier, log_rank, weibull
from analysis.series.observation import Observation

# Freireich et al., Blood 21 (1963) 699-716: weeks of remission, + censored.
TREATED = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"
# Glass fibres of 1.5 cm, Smith & Naylor, Applied Statistics 36 (1987) 358-369.
GLASS = (
    "0.55 0.93 1.25 1.36 1.49 1.52 1.58 1.61 1.64 1.68 1.73 1.81 2.00 0.74 1.04 1.27 1.39 1.49 1.53 1.59 1.61 1.66 "
    "1.68 1.76 1.82 2.01 0.77 1.11 1.28 1.42 1.50 1.54 1.60 1.62 1.66 1.69 1.76 1.84 2.24 0.81 1.13 1.29 1.48 1.50 "
    "1.55 1.61 1.62 1.66 1.70 1.77 1.84 0.84 1.24 1.30 1.48 1.51 1.55 1.61 1.63 1.67 1.70 1.78 1.89"
)


def read(text: str) -> list[Observation]:
    return [Observation(t, float(t.rstrip("+")), 0.0, t.endswith("+")) for t in text.split()]


def test_kaplan_meier_with_greenwood() -> None:
    curve = kaplan_meier(read(TREATED))
    assert list(curve.strain_pct) == [6, 7, 10, 13, 16, 22, 23]
    assert curve.share == pytest.approx(
        [0.857143, 0.806723, 0.752941, 0.690196, 0.627451, 0.537815, 0.448179], abs=1e-6
    )
    assert curve.se == pytest.approx([0.07636, 0.08694, 0.09635, 0.10681, 0.11405, 0.12823, 0.13459], abs=6e-6)
    assert curve.median_pct == 23
    placebo = kaplan_meier(read(PLACEBO))
    assert placebo.median_pct == 8
    assert placebo.share_at(0.5) == (1.0, 0.0)
    assert placebo.share_at(8)[0] == pytest.approx(0.380952, abs=1e-6)
    assert placebo.share_at(99) == (0.0, 0.0)


def test_kaplan_meier_equals_lifelines() -> None:
    observations = read(TREATED)
    fitter = lifelines.KaplanMeierFitter()
    fitter.fit([o.value for o in observations], [not o.censored for o in observations])
    curve = kaplan_meier(observations)
    for strain, share in zip(curve.strain_pct, curve.share, strict=True):
        assert share == pytest.approx(float(fitter.predict(float(strain))), abs=1e-12)


def test_log_rank() -> None:
    found = log_rank(read(TREATED), read(PLACEBO))
    assert found.chi2 == pytest.approx(16.792941, abs=1e-5)
    assert found.p == pytest.approx(4.1688e-5, abs=1e-9)


def test_ignoring_the_censoring_changes_the_answer() -> None:
    as_breaks = [Observation(o.name, o.value, 0.0, censored=False) for o in read(TREATED)]
    assert kaplan_meier(as_breaks).median_pct != 23
    assert weibull(as_breaks).scale < 0.75 * weibull(read(TREATED)).scale


@pytest.mark.parametrize(
    ("data", "scale", "shape", "log_likelihood", "tolerance"),
    [
        (TREATED, 33.76518, 1.353732, -41.65868, 1e-4),
        (PLACEBO, 9.482097, 1.370504, -64.92011, 1e-4),
        # scipy, lifelines, reliability and surpyval agree on these
        (GLASS, 1.6281135, 5.7807010, -15.206840, 1e-6),
    ],
)
def test_weibull(data: str, scale: float, shape: float, log_likelihood: float, tolerance: float) -> None:
    found = weibull(read(data))
    assert found.scale == pytest.approx(scale, abs=tolerance)
    assert found.shape == pytest.approx(shape, abs=tolerance)
    assert found.log_likelihood == pytest.approx(log_likelihood, abs=tolerance)


def test_breaks_close_together_have_a_large_shape() -> None:
    found = weibull(read("49.121 49.016 49.084 49.1"))
    assert found.shape > 1000
    assert found.scale == pytest.approx(49.1, abs=0.05)


def test_nothing_is_said_where_nothing_broke() -> None:
    with pytest.raises(ValueError, match="no strand of this series broke"):
        kaplan_meier(read("20+ 30+ 40+"))
    with pytest.raises(ValueError, match="at least 3 strands that broke"):
        weibull(read("20 30 40+ 50+"))
    with pytest.raises(ValueError, match="not all alike"):
        weibull(read("20 20 20 40+"))
