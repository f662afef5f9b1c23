"""What a person may ask for: sensible defaults, and a sentence for everything that can't be. Nothing is clamped."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from firmware_protocol.messages import Identity
from recordings.format import ExtensionCalibration, ForceCalibration, Method, Specimen
from rig.calibration_store import Calibrations
from rig.errors import BadPlan, NotARig
from rig.facts import RigFacts, facts_of
from rig.plan import PullOrder, PullPlan, break_floor_counts, order_of
from rig.scale import Scale, counts_of_force
from rig.specimen_rules import check_specimen

IDENTITY = Identity(
    request=1,
    protocol=1,
    table_crc=0,
    firmware=0x0203,
    boot_count=4,
    board_id=99,
    abilities=0,
    sensor_bits=24,
    rate_mhz=80_000,
    steps_per_m=800_000,
    travel_steps=64_000,
    max_speed_steps_s=8_000,
    force_range_mn=2_000,
    counts_per_n=3_500_000,
    name="invented rig",
)
FACTS = facts_of(IDENTITY)
CALIBRATED = Calibrations(ForceCalibration(1 / 3_500_000), ExtensionCalibration(1 / 800))


def order(specimen: Specimen | None = None, *, start: int = 0, homed: bool = False, **method: Any) -> PullOrder:
    plan = PullPlan(specimen or Specimen(30.0), Method(**method))
    return order_of(plan, FACTS, CALIBRATED, start, homed)


def test_facts_in_units() -> None:
    assert (
        RigFacts("invented rig", 99, "2.3", 4, 24, 80.0, 800.0, 80.0, 600.0, 2.0, 3_500_000.0, False, False, False)
        == FACTS
    )
    assert FACTS.full_scale_counts == 8_388_607


@pytest.mark.parametrize(
    "field", ["steps_per_m", "travel_steps", "max_speed_steps_s", "force_range_mn", "counts_per_n", "rate_mhz"]
)
def test_board_that_does_not_say_what_it_is(field: str) -> None:
    with pytest.raises(NotARig, match="set it in the board's configuration"):
        facts_of(replace(IDENTITY, **{field: 0}))


def test_defaults() -> None:
    """60 % of the gauge length a minute: ASTM D3822 for fibres that stretch 8 to 100 % (from memory)."""
    made = order()
    assert made.method.speed_mm_min == pytest.approx(18.0)
    assert made.method.travel_limit_mm == 30.0
    assert made.method.force_limit_n == pytest.approx(1.9)
    assert made.target_steps == 24_000
    assert made.force_limit_counts == 6_650_000
    assert made.limits.duration_s is not None
    assert made.limits.duration_s > 100.0


def test_what_is_given_is_kept() -> None:
    made = order(speed_mm_min=5.0, travel_limit_mm=12.5, force_limit_n=0.8, guideline_pct=25.0)
    assert made.method == Method(speed_mm_min=5.0, travel_limit_mm=12.5, force_limit_n=0.8, guideline_pct=25.0)
    assert made.target_steps == 10_000
    assert made.force_limit_counts == 2_800_000


def test_long_strand_is_pulled_as_far_as_the_rig_goes() -> None:
    assert order(Specimen(150.0)).method.travel_limit_mm == 80.0


def test_start_counts_once_the_stage_is_homed() -> None:
    assert order(start=16_000, homed=True).target_steps == 40_000
    assert order(start=44_000, homed=True).method.travel_limit_mm == 25.0
    assert order(start=44_000, homed=False).method.travel_limit_mm == 30.0
    with pytest.raises(BadPlan, match="move the stage back"):
        order(start=62_000, homed=True)
    with pytest.raises(BadPlan, match=r"Only 25\.0 mm of travel are left, not 26 mm"):
        order(start=44_000, homed=True, travel_limit_mm=26.0)


@pytest.mark.parametrize("gauge_mm", [0.0, -30.0, 4.999, 200.001, 3_000_000.0, math.nan, math.inf])
def test_gauge_length_that_can_not_be(gauge_mm: float) -> None:
    with pytest.raises(BadPlan, match="gauge length of .* mm is not possible"):
        order(Specimen(gauge_mm, 0.0))


@pytest.mark.parametrize("gauge_mm", [5.0, 30.0, 200.0])
def test_gauge_length_that_can_be(gauge_mm: float) -> None:
    check_specimen(Specimen(gauge_mm))


@pytest.mark.parametrize("diameter_um", [0.0, -70.0, 9.9, 7000.0, math.nan])
def test_diameter_that_can_not_be(diameter_um: float) -> None:
    with pytest.raises(BadPlan, match="diameter of .* µm is not possible"):
        check_specimen(Specimen(30.0, diameter_um=diameter_um))


@pytest.mark.parametrize(
    "more",
    [
        {"u_gauge_length_mm": -0.1},
        {"u_gauge_length_mm": 16.0},
        {"u_gauge_length_mm": math.nan},
        {"u_diameter_um": 3.0},
        {"diameter_um": 70.0, "u_diameter_um": 60.0},
        {"area_um2": -5.0},
        {"linear_density_tex": 0.0},
    ],
)
def test_other_numbers_of_a_strand_that_can_not_be(more: dict[str, float]) -> None:
    with pytest.raises(BadPlan, match=r"give|leave it out"):
        check_specimen(Specimen(30.0, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("method", "sentence"),
    [
        ({"speed_mm_min": 0.0}, "speed of 0 mm/min"),
        ({"speed_mm_min": -5.0}, "speed of -5 mm/min"),
        ({"speed_mm_min": 601.0}, "600 mm/min"),
        ({"speed_mm_min": math.nan}, "speed of nan"),
        ({"speed_mm_min": 1e-6}, "takes .* h: give a speed of at least"),
        ({"travel_limit_mm": 0.0}, "travel limit of 0 mm"),
        ({"travel_limit_mm": 80.1}, "up to 80 mm"),
        ({"travel_limit_mm": math.inf}, "travel limit of inf"),
        ({"force_limit_n": 0.0}, "force limit of 0 N"),
        ({"force_limit_n": 2.1}, "up to 2 N"),
        ({"force_limit_n": -1.0}, "force limit of -1 N"),
        ({"guideline_pct": 0.0}, "guideline of 0 %"),
        ({"kind": "dance"}, "'dance'"),
    ],
)
def test_method_that_can_not_be(method: dict[str, Any], sentence: str) -> None:
    with pytest.raises(BadPlan, match=sentence):
        order(**method)


def test_no_force_limit_without_a_scale() -> None:
    with pytest.raises(BadPlan, match="calibrate"):
        order_of(PullPlan(Specimen(30.0)), FACTS, Calibrations(None, None), 0, False)


@pytest.mark.parametrize(("a", "b"), [(3e-7, 0.0), (3e-7, 1e-15), (3e-7, -1e-15), (-3e-7, 0.0), (-3e-7, 2e-15)])
@pytest.mark.parametrize("force_n", [0.01, 0.5, 1.9])
def test_counts_of_a_force_and_back(a: float, b: float, force_n: float) -> None:
    calibration = ForceCalibration(a, n_per_count2=b)
    counts = math.copysign(counts_of_force(calibration, force_n), a)
    assert Scale(calibration, None, 30.0).force_n(counts) == pytest.approx(force_n, rel=1e-9)


def test_force_that_no_reading_means() -> None:
    with pytest.raises(ValueError, match="no reading"):
        counts_of_force(ForceCalibration(1e-7, n_per_count2=-1e-14), 5.0)


def test_floor_of_the_break_is_above_the_noise() -> None:
    scale = Scale(CALIBRATED.force, None, 30.0)
    assert break_floor_counts(scale, 100.0) == pytest.approx(0.03 * 3_500_000)
    assert break_floor_counts(scale, 100_000.0) == pytest.approx(1_200_000)
    assert break_floor_counts(Scale(None, None, 30.0), 300.0) == 3600.0


def test_plan_is_for_this_folder_unless_told() -> None:
    assert PullPlan(Specimen(30.0)).directory == Path()
