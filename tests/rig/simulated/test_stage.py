"""The stage against the closed form of a trapezoid, its switches, and the independence from how time is cut up."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from rig.simulated.stage import (
    ACCELERATION_STEPS_S2,
    FAR_SWITCH_STEPS,
    QUANTUM_US,
    START_STEPS,
    STEPS_PER_MM,
    Stage,
)


def run(stage: Stage, quanta: int = 200_000) -> list[int]:
    """Go on quantum by quantum until the motion has ended; the counter after each."""
    path = []
    for _ in range(quanta):
        stage.advance(QUANTUM_US)
        path.append(stage.steps)
        if stage.at_switch or not stage.plan():
            stage.halt()
            return path
    raise AssertionError("the motion never ended")


def closed_form_s(steps: int, speed: float) -> float:
    """Time of a trapezoid (or triangle) of speed over so many steps, from rest to rest."""
    ramp = speed**2 / ACCELERATION_STEPS_S2
    if steps < ramp:
        return 2.0 * math.sqrt(steps / ACCELERATION_STEPS_S2)
    return steps / speed + speed / ACCELERATION_STEPS_S2


@pytest.mark.parametrize("speed", [240, 1000, 4000, 8000])
@pytest.mark.parametrize("steps", [1, 10, 500, 8000, 30_000])
def test_a_motion_ends_on_its_target_in_the_time_of_a_trapezoid(steps: int, speed: int) -> None:
    stage = Stage()
    stage.start(steps, speed * 1000)
    path = run(stage)
    assert path[-1] == steps
    assert all(0 <= b - a <= speed // 1000 + 1 for a, b in itertools.pairwise(path))
    # The ramp down is not run to the very end: the last steps are made at a speed the motor stops from at once.
    ideal_s = closed_form_s(steps, speed)
    assert ideal_s - 0.005 - 0.003 * speed / 1000 <= len(path) * 1e-3 <= ideal_s


def test_the_ramp_up_is_the_parabola_of_constant_acceleration() -> None:
    stage = Stage()
    stage.start(30_000, 8_000_000)
    path = run(stage)
    for ms in (50, 200, 500, 900):
        # After n quanta of rising speed, a n (n + 1) / 2 a quantum's share; the first quantum still stands.
        ideal = ACCELERATION_STEPS_S2 * 1e-6 * (ms - 1) * ms / 2
        assert path[ms - 1] == math.floor(ideal + 1e-9)


def test_a_stop_slows_down_within_its_braking_distance() -> None:
    stage = Stage()
    stage.start(40_000, 4_000_000)
    for _ in range(2000):
        stage.advance(QUANTUM_US)
        stage.plan()
    at = stage.steps
    stage.stop()
    path = run(stage)
    assert len(path) == pytest.approx(4000 / ACCELERATION_STEPS_S2 * 1000, abs=15)
    assert path[-1] - at == pytest.approx(4000**2 / (2 * ACCELERATION_STEPS_S2), rel=0.02)


def test_a_halt_is_at_once() -> None:
    stage = Stage()
    stage.start(40_000, 8_000_000)
    for _ in range(1500):
        stage.advance(QUANTUM_US)
        stage.plan()
    stage.advance(300)
    at = stage.steps
    stage.halt()
    stage.advance(50_000)
    assert stage.steps == at
    assert stage.position_mm == (START_STEPS + at) / STEPS_PER_MM


@pytest.mark.parametrize("seed", range(5))
def test_a_motion_is_the_same_however_time_is_cut_up(seed: int) -> None:
    rng = random.Random(seed)
    whole, cut = Stage(), Stage()
    for stage in (whole, cut):
        stage.start(3000, 3_456_789)
    for _ in range(2000):
        whole.advance(QUANTUM_US)
        cuts = sorted(rng.sample(range(1, QUANTUM_US), 3))
        for before, after in zip([0, *cuts], [*cuts, QUANTUM_US], strict=True):
            cut.advance(after - before)
        assert (whole.steps, whole.position_mm) == (cut.steps, cut.position_mm)
        assert whole.plan() == cut.plan()
    assert whole.steps == 3000


def test_the_clamp_moves_smoothly_and_the_counter_is_never_a_step_off() -> None:
    stage = Stage()
    stage.start(2000, 240_000)
    last_mm = stage.position_mm
    for _ in range(40_000):
        stage.advance(250)
        assert 0.0 <= stage.position_mm - last_mm < 250e-6 * 0.31 + 1e-9
        last_mm = stage.position_mm
        assert -1e-9 <= last_mm * STEPS_PER_MM - START_STEPS - stage.steps < 1.0
        if stage._since_plan_us == QUANTUM_US and not stage.plan():
            break
    assert stage.steps == 2000


def test_the_near_switch_ends_a_motion_at_its_very_step() -> None:
    stage = Stage()
    stage.start(-100_000, 8_000_000)
    assert run(stage)[-1] == -START_STEPS
    assert stage.near_pressed
    assert stage.blocked(-1)
    assert not stage.blocked(1)


def test_the_far_switch_ends_a_motion_at_its_very_step() -> None:
    stage = Stage()
    stage.start(100_000, 8_000_000)
    assert run(stage)[-1] == FAR_SWITCH_STEPS - START_STEPS
    assert stage.far_pressed
    stage.start(stage.steps - 10, 1_000_000)
    assert not stage.at_switch
    assert run(stage)[-1] == FAR_SWITCH_STEPS - START_STEPS - 10


def test_lost_steps_are_lost_between_counter_and_place() -> None:
    stage = Stage()
    stage.start(1000, 1_000_000)
    for _ in range(500):
        stage.advance(QUANTUM_US)
        stage.plan()
    stage.lose_steps(40)
    assert run(stage)[-1] == 1000
    assert stage.position_mm == (START_STEPS + 1000 - 40) / STEPS_PER_MM
