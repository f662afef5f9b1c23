"""Levels at rest and positions for calibration, on the simulated rig in lockstep."""

from __future__ import annotations

import pytest

from firmware_protocol.vocabulary import StopReason
from rig.errors import BadPlan, LinkLost, MotionFailed, NoReadings
from rig.levels import take_level
from rig.positions import RUN_UP_MM, Stop, go_to, nudge, planned_stops
from rig.simulated.amplifier import COUNTS_PER_N
from tests.links import BoardLink, Dying, simulated


def test_levels_of_weights_hung_one_after_the_other() -> None:
    stretcher, link = simulated("hook", hang_g=(0.0, 50.0, 100.0))  # type: ignore[arg-type]
    with stretcher:
        stretcher.hold(0.5)
        levels = [take_level(stretcher, 2.0) for _ in range(3)]
        zero = link.board.machine.amplifier.zero_counts
    assert all(level.settled for level in levels)
    # 84 readings a second with 150 counts of noise
    assert all(150 < level.n < 200 for level in levels)
    assert all(100 < level.sd_counts < 200 for level in levels)
    forces = [(level.counts - zero) / COUNTS_PER_N for level in levels]
    # 50 and 100 g in air of 1.2 kg/m3 (OIML D 28) at 9.81194 m/s2
    assert forces == pytest.approx([0.0, 0.490523, 0.981047], abs=2e-5)


def test_a_level_is_switched_off_again() -> None:
    stretcher, link = simulated("hook")
    with stretcher:
        take_level(stretcher, 0.5)
        assert not link.board.machine.streaming


def test_a_weight_that_comes_late_is_waited_for() -> None:
    stretcher, link = simulated("hook")

    def come(by_s: float) -> None:
        if link.board.machine.streaming and not hung and link.clock.now_s() > began_s[0] + 1.5:
            hung.append(True)
            link.board.hang(20.0)

    hung: list[bool] = []
    with stretcher:
        stretcher.hold(0.5)
        began_s = [link.clock.now_s()]
        link.clock.world.append(come)
        level = take_level(stretcher, 2.0)
        zero = link.board.machine.amplifier.zero_counts
    assert hung
    assert level.settled
    assert (level.counts - zero) / COUNTS_PER_N == pytest.approx(0.196209, abs=2e-5)


def test_a_zero_that_runs_away_is_said_not_to_have_settled() -> None:
    stretcher, _ = simulated("hook", "drift@start+0")
    with stretcher:
        assert not take_level(stretcher, 3.0).settled


def test_one_wild_reading_is_left_out() -> None:
    stretcher, _ = simulated("hook", "glitch@start+2")
    with stretcher:
        level = take_level(stretcher, 3.0)
    assert level.left_out == 1
    assert level.sd_counts < 200


def test_an_amplifier_at_its_end_is_told_apart() -> None:
    stretcher, _ = simulated("hook", "saturate", hang_g=(100.0,))  # type: ignore[arg-type]
    with stretcher, pytest.raises(NoReadings, match="hang a lighter weight"):
        take_level(stretcher, 1.0)


def test_an_amplifier_that_says_nothing() -> None:
    stretcher, _ = simulated("hook", "dead-sensor@start+0")
    with stretcher, pytest.raises(NoReadings, match="check the wiring"):
        take_level(stretcher, 1.0)


def test_a_link_that_dies_ends_the_level_with_its_cause() -> None:
    wires: list[Dying] = []

    def wire(inner: BoardLink) -> Dying:
        wires.append(Dying(inner))
        return wires[0]

    stretcher, link = simulated("hook", wrap=wire)

    def die(by_s: float) -> None:
        wires[0].dead = wires[0].dead or link.board.machine.streaming

    link.clock.world.append(die)
    with pytest.raises(LinkLost), stretcher:
        take_level(stretcher, 1.0)


def test_positions_out_and_back_are_reached_from_their_own_side() -> None:
    stretcher, link = simulated("hook")
    came_from: list[int] = []
    with stretcher:
        stretcher.hold(1.0)
        here = stretcher.status().steps
        stops = planned_stops(stretcher, [2.0, 0.0, 1.0], back=True)
        assert [s.nominal_mm for s in stops] == [0.0, 1.0, 2.0, 2.0, 1.0, 0.0]
        assert [s.outward for s in stops] == [True] * 3 + [False] * 3
        assert stops[0].steps == here + round(RUN_UP_MM * 800)
        before = here
        for stop in stops:
            link.clock.world.append(lambda by_s: came_from.append(link.board.machine.stage.steps))
            came_from.clear()
            assert go_to(stretcher, stop) == stop.steps
            last = [s for s in [before, *came_from] if s != stop.steps][-1]
            assert (last < stop.steps) == stop.outward
            before = stop.steps
            link.clock.world.pop()
        # taken again after a step undone: the first one from inside once more
        assert go_to(stretcher, stops[2]) == stops[2].steps
        assert nudge(stretcher, -0.05) == stops[2].steps - 40


def test_positions_that_there_is_no_room_for() -> None:
    stretcher, _ = simulated("hook")
    with stretcher:
        stretcher.hold(1.0)
        with pytest.raises(BadPlan, match="none below 0"):
            planned_stops(stretcher, [-1.0, 2.0], back=False)
        with pytest.raises(BadPlan, match="none below 0"):
            planned_stops(stretcher, [], back=False)
        with pytest.raises(BadPlan, match="mm are left"):
            planned_stops(stretcher, [0.0, 500.0], back=False)


def test_a_position_not_reached_is_an_error() -> None:
    stretcher, link = simulated("hook")
    with stretcher:
        stretcher.hold(1.0)
        stop = Stop(5.0, stretcher.status().steps + 4000, True)

        def press(by_s: float) -> None:
            if link.moving and link.clock.now_s() > began_s + 1.0 and not pressed:
                pressed.append(True)
                stretcher.send_stop()

        began_s = link.clock.now_s()
        pressed: list[bool] = []
        link.clock.world.append(press)
        with pytest.raises(MotionFailed) as caught:
            go_to(stretcher, stop)
        assert caught.value.reason is StopReason.COMMAND
