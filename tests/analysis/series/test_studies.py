"""Gauge studies and agreement against published worked examples."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.series.agreement import limits_of_agreement, repeat_sd
from analysis.series.gauge_study import crossed_study, nested_study

# AIAG, Measurement Systems Analysis, 4th ed., Table III-B: 10 parts x 3 appraisers x 3 trials.
AIAG = {
    "A": (
        (0.29, 0.41, 0.64), (-0.56, -0.68, -0.58), (1.34, 1.17, 1.27), (0.47, 0.50, 0.64), (-0.80, -0.92, -0.84),
        (0.02, -0.11, -0.21), (0.59, 0.75, 0.66), (-0.31, -0.20, -0.17), (2.26, 1.99, 2.01), (-1.36, -1.25, -1.31),
    ),
    "B": (
        (0.08, 0.25, 0.07), (-0.47, -1.22, -0.68), (1.19, 0.94, 1.34), (0.01, 1.03, 0.20), (-0.56, -1.20, -1.28),
        (-0.20, 0.22, 0.06), (0.47, 0.55, 0.83), (-0.63, 0.08, -0.34), (1.80, 2.12, 2.19), (-1.68, -1.62, -1.50),
    ),
    "C": (
        (0.04, -0.11, -0.15), (-1.38, -1.13, -0.96), (0.88, 1.09, 0.67), (0.14, 0.20, 0.11), (-1.46, -1.07, -1.45),
        (-0.29, -0.67, -0.49), (0.02, 0.01, 0.21), (-0.46, -0.56, -0.49), (1.77, 1.45, 1.87), (-1.49, -1.77, -2.16),
    ),
}  # fmt: skip

# Sulfur in coal, ISO 5725-2:1994, eight laboratories, levels 1 to 3 (data from memory; the printed m, s_r, s_R
# are reproduced).
COAL = (
    ("0.71 0.71 0.70 0.71", "1.20 1.18 1.23 1.21", "1.68 1.70 1.68 1.69"),
    ("0.69 0.67 0.68", "1.22 1.21 1.22", "1.64 1.64 1.65"),
    ("0.66 0.65 0.69", "1.28 1.31 1.30", "1.61 1.61 1.62"),
    ("0.67 0.65 0.66", "1.23 1.18 1.20", "1.68 1.66 1.66"),
    ("0.70 0.69 0.66 0.71 0.69", "1.31 1.22 1.22 1.24", "1.64 1.67 1.60 1.66 1.68"),
    ("0.73 0.74 0.73", "1.39 1.36 1.37", "1.70 1.73 1.73"),
    ("0.71 0.71 0.69", "1.20 1.26 1.26", "1.69 1.70 1.68"),
    ("0.70 0.65 0.68", "1.24 1.22 1.30", "1.67 1.68 1.67"),
)

# Peak expiratory flow by two meters, twice each, 17 people: Bland & Altman, Lancet 1986;i:307-310.
WRIGHT = (
    (494, 490), (395, 397), (516, 512), (434, 401), (476, 470), (557, 611), (413, 415), (442, 431), (650, 638),
    (433, 429), (417, 420), (656, 633), (267, 275), (478, 492), (178, 165), (423, 372), (427, 421),
)  # fmt: skip
MINI = (
    (512, 525), (430, 415), (520, 508), (428, 444), (500, 500), (600, 625), (364, 460), (380, 390), (658, 642),
    (445, 432), (432, 420), (626, 605), (260, 227), (477, 467), (259, 268), (350, 370), (451, 443),
)  # fmt: skip


def test_crossed_study_of_the_manual() -> None:
    study = crossed_study(np.array([AIAG[p] for p in "ABC"]).transpose(1, 0, 2))
    lines = {line.source: line for line in study.lines}
    assert lines["person"].ss == pytest.approx(3.16726, abs=6e-6)
    assert lines["part"].ss == pytest.approx(88.36193, abs=6e-6)
    assert lines["person x part"].ss == pytest.approx(0.35898, abs=6e-6)
    assert lines["repeat"].ss == pytest.approx(2.75893, abs=6e-6)
    assert [lines[name].dof for name in ("person", "part", "person x part", "repeat")] == [2, 9, 18, 60]
    assert study.interaction_p == pytest.approx(0.9741, abs=5e-5)
    assert study.pooled
    assert study.repeatability_sd == pytest.approx(0.199933, abs=1e-6)
    assert study.reproducibility_sd == pytest.approx(0.226838, abs=1e-6)
    assert study.rig_and_person_sd == pytest.approx(0.3023715, abs=1e-6)
    assert study.part_sd == pytest.approx(1.042327, abs=1e-6)
    assert study.categories == 4


def test_a_real_interaction_is_not_pooled() -> None:
    rng = np.random.default_rng(5)
    cell = rng.normal(0, 1.0, (12, 3, 1))
    study = crossed_study(rng.normal(0, 2, (12, 1, 1)) + cell + rng.normal(0, 0.1, (12, 3, 3)))
    assert not study.pooled
    assert study.repeatability_sd == pytest.approx(0.1, rel=0.2)


@pytest.mark.parametrize("shape", [(10, 1, 3), (10, 3, 1), (1, 3, 3)])
def test_a_study_needs_two_of_everything(shape: tuple[int, int, int]) -> None:
    with pytest.raises(ValueError, match="at least two"):
        crossed_study(np.zeros(shape))


@pytest.mark.parametrize(
    ("level", "m", "s_r", "s_big_r"), [(0, 0.690, 0.015, 0.026), (1, 1.252, 0.029, 0.061), (2, 1.667, 0.017, 0.035)]
)
def test_nested_study_with_unequal_groups(level: int, m: float, s_r: float, s_big_r: float) -> None:
    study = nested_study([np.array(lab[level].split(), dtype=float) for lab in COAL])
    assert study.mean == pytest.approx(m, abs=6e-4)
    assert study.repeatability_sd == pytest.approx(s_r, abs=5.1e-4)
    assert study.reproducibility_sd == pytest.approx(s_big_r, abs=5.1e-4)


def test_groups_that_agree_have_no_scatter_between_them() -> None:
    # ASTM E691 glucose, material A (from memory): s_R = s_r = 1.0632, since s_R is never below s_r
    labs = (
        "41.03 41.45 41.37", "41.17 42.00 41.15", "41.01 40.68 42.66", "39.37 42.37 42.63",
        "41.88 41.19 41.32", "43.28 40.50 42.28", "41.08 41.27 39.02", "43.36 42.65 41.72",
    )  # fmt: skip
    study = nested_study([np.array(lab.split(), dtype=float) for lab in labs])
    assert study.mean == pytest.approx(41.5183, abs=1e-4)
    assert study.repeatability_sd == pytest.approx(1.0632, abs=1e-4)
    assert study.share_between == 0


def test_limits_of_agreement() -> None:
    wright, mini = np.array(WRIGHT, dtype=float), np.array(MINI, dtype=float)
    found = limits_of_agreement(list(wright[:, 0]), list(mini[:, 0]))
    assert found.bias == pytest.approx(-2.1176, abs=1e-4)
    assert found.sd == pytest.approx(38.7651, abs=1e-4)
    assert (found.lower, found.upper) == pytest.approx((-78.10, 73.86), abs=6e-3)
    assert (found.bias_interval.low, found.bias_interval.high) == pytest.approx((-22.0, 17.8), abs=0.06)
    # the paper's limits are at 2 sd, so its intervals lie 0.04 sd further out
    shift = 0.04 * found.sd
    assert (found.lower_interval.low - shift, found.lower_interval.high - shift) == pytest.approx(
        (-114.2, -45.1), abs=0.06
    )
    assert (found.upper_interval.low + shift, found.upper_interval.high + shift) == pytest.approx(
        (40.9, 109.9), abs=0.06
    )
    assert repeat_sd(list(wright[:, 0]), list(wright[:, 1])) == pytest.approx(15.31, abs=5e-3)
    assert repeat_sd(list(mini[:, 0]), list(mini[:, 1])) == pytest.approx(19.91, abs=5e-3)


def test_pairs_must_be_pairs() -> None:
    with pytest.raises(ValueError, match="differ in length"):
        limits_of_agreement([1, 2, 3], [1, 2])
    with pytest.raises(ValueError, match="too few"):
        limits_of_agreement([1, 2], [1, 2])
