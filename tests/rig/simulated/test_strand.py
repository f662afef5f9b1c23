"""A single strand: what being stretched, held and let back does to it."""

from __future__ import annotations

import itertools
import math
from random import Random

import pytest

from rig.simulated.curve import KeratinCurve
from rig.simulated.strand import REFERENCE_RATE_PER_S, Strand, StrandTruth

CURVE = KeratinCurve(3800.0, 0.025, 60.0, 0.28, 520.0)
GAUGE_MM = 30.0
STEP_S = 0.0125


def strand(**changes: object) -> Strand:
    values: dict[str, object] = {
        "kind": "test",
        "number": 0,
        "condition": "dry",
        "diameter_um": 70.0,
        "area_um2": math.pi / 4 * 70.0**2,
        "gauge_length_mm": GAUGE_MM,
        "slack_mm": 0.0,
        "curve": CURVE,
        "break_strain": None,
    }
    return Strand(StrandTruth(**(values | changes)), Random(3))  # type: ignore[arg-type]


def go(
    what: Strand, to_strain: float, *, rate: float = REFERENCE_RATE_PER_S, step_s: float = STEP_S
) -> list[tuple[float, float]]:
    """Take a strand to a strain at a rate; (strain, force) on the way."""
    start_mm = what.strain * GAUGE_MM
    steps = max(1, round(abs(to_strain - start_mm / GAUGE_MM) / rate / step_s))
    path = [(what.strain, what.force_n(start_mm))]
    for n in range(1, steps + 1):
        extension_mm = start_mm + (to_strain * GAUGE_MM - start_mm) * n / steps
        path.append((what.strain_at(extension_mm), what.stretch(extension_mm, step_s)))
    return path


def work(path: list[tuple[float, float]]) -> float:
    """Area under force over strain [N]."""
    return sum(0.5 * (a[1] + b[1]) * (b[0] - a[0]) for a, b in itertools.pairwise(path))


def test_first_loading_at_the_reference_rate_is_the_curve() -> None:
    one = strand()
    for strain, force_n in go(one, 0.40)[::50]:
        assert force_n == pytest.approx(one.truth.force_n(strain), rel=1e-9)


def test_a_truth_that_relaxes_nothing_is_the_curve_to_the_last_digit() -> None:
    one = strand(relaxed_share=0.0, stiffer_per_decade=0.0)
    for strain, force_n in go(one, 0.40):
        assert force_n == pytest.approx(one.truth.force_n(strain), rel=1e-12)


def test_strain_counts_from_the_onset_over_gauge_length_and_slack() -> None:
    one = strand(slack_mm=0.9)
    # 6.9 mm on a 30 mm gauge with 0.9 mm of slack: (6.9 - 0.9) / 30.9, by hand.
    assert one.strain_at(6.9) == pytest.approx(0.194175, abs=1e-6)
    assert one.stretch(0.5, 1.0) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("strain", [0.01, 0.15])
def test_faster_is_stiffer(strain: float) -> None:
    forces = [go(strand(), strain, rate=rate, step_s=0.0001 / rate)[-1][1] for rate in (0.001, 0.01, 0.1)]
    assert forces[0] < forces[1] < forces[2]
    for slow, fast in itertools.pairwise(forces):
        assert 1.02 < fast / slow < 1.12  # some 5 % a decade: from memory


def test_a_held_strand_relaxes_exponentially_to_its_share() -> None:
    one = strand(relaxed_share=0.2, relaxation_s=25.0)
    start_n = go(one, 0.15)[-1][1]
    held_mm = 0.15 * GAUGE_MM
    after = {}
    for n in range(1, 24_001):
        after[n] = one.stretch(held_mm, STEP_S)
    end_n = one.truth.force_n(0.15) * 0.8
    assert after[24_000] == pytest.approx(end_n, rel=1e-4)
    for seconds in (10.0, 25.0, 60.0):
        left = (after[round(seconds / STEP_S)] - end_n) / (start_n - end_n)
        assert left == pytest.approx(math.exp(-seconds / 25.0), rel=1e-3)


def test_the_way_back_loses_work_and_leaves_a_set() -> None:
    one = strand()
    out = go(one, 0.20)
    back = go(one, -0.02)
    assert 0.3 < -work(back) / work(out) < 0.7
    assert 0.005 < one.set_strain() < 0.03
    slack_from = next(strain for strain, force_n in back if force_n < 1e-4)
    assert slack_from == pytest.approx(one.set_strain(), abs=0.002)
    assert all(a[1] >= b[1] - 1e-9 for a, b in itertools.pairwise(back)), "force rises on the way back"


def test_an_elastic_strand_comes_back_whole() -> None:
    one = strand(relaxed_share=0.0, stiffer_per_decade=0.0)
    out = go(one, 0.010)
    back = go(one, 0.0)
    assert work(back) == pytest.approx(-work(out), rel=0.02)
    assert one.set_strain() == 0.0


def test_half_of_the_set_recovers_with_rest() -> None:
    one = strand()
    go(one, 0.20)
    go(one, -0.02)
    for _ in range(1000):
        one.stretch(-0.02 * GAUGE_MM, 1.0)
    assert one.set_strain() == pytest.approx(0.5 * 0.08 * (0.20 - 0.025), rel=1e-3)


def test_a_second_loading_starts_from_the_set_and_meets_the_first_at_its_end() -> None:
    one = strand(relaxed_share=0.0, stiffer_per_decade=0.0)
    first = go(one, 0.20)
    go(one, 0.0)
    second = go(one, 0.25)
    assert 0.8 < work([p for p in second if p[0] <= 0.20]) / work(first) < 1.0
    for strain, force_n in second:
        if strain >= 0.20:
            assert force_n == pytest.approx(one.truth.force_n(strain), rel=1e-9)


def test_force_never_jumps_while_the_strand_is_whole() -> None:
    one = strand()
    path = [point for to in (0.22, 0.10, 0.15, -0.01, 0.30, 0.05) for point in go(one, to)]
    largest = max(abs(b[1] - a[1]) for a, b in itertools.pairwise(path))
    stiffest_n = 3800.0 * one.truth.area_um2 * 1e-6 * REFERENCE_RATE_PER_S * STEP_S
    assert largest < 2.5 * stiffest_n


def test_a_slipping_strand_makes_saw_teeth_that_get_lower() -> None:
    one = strand(slip_force_n=0.25)
    path = go(one, 0.60)
    peaks = [b[1] for a, b, c in zip(path, path[1:], path[2:], strict=False) if a[1] < b[1] > c[1]]
    assert len(peaks) > 20
    assert max(peaks) < 0.26
    assert sum(peaks[-10:]) < 0.9 * sum(peaks[:10])
    assert one.slipped_mm > 10.0
    assert not one.broken


def test_a_strand_breaks_at_its_strain_and_carries_nothing_after() -> None:
    one = strand(break_strain=0.20)
    assert one.break_extension_mm == pytest.approx(0.20 * GAUGE_MM)
    one.broken = True
    assert one.stretch(0.3 * GAUGE_MM, 1.0) == 0.0
    assert one.break_extension_mm == math.inf
