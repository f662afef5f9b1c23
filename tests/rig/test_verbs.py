"""The verbs of a rig on the simulated board, in lockstep."""

from __future__ import annotations

import pytest

from firmware_protocol.vocabulary import BoardState, StopReason
from rig.errors import BadPlan, MotionFailed, NotARig, Refused
from rig.stretcher import Stretcher
from tests.links import simulated


def test_identify_says_what_the_rig_can_do() -> None:
    stretcher, link = simulated(rate_hz=320.0)
    with pytest.raises(NotARig, match="connect"):
        _ = stretcher.facts
    with stretcher:
        facts = stretcher.facts
        assert facts.simulated
        assert facts.rate_hz == 320.0
        assert facts.board_id == stretcher.identify().board_id
        assert stretcher.link_cause is None
        assert stretcher.newest is None
    assert link.closed


def test_jog_there_and_back() -> None:
    stretcher, link = simulated()
    with stretcher:
        stretcher.hold(1.0)
        before = stretcher.status().steps
        assert stretcher.jog(1.25) is StopReason.DONE
        assert stretcher.status().steps == before + 1000
        assert stretcher.jog(-0.5, 30.0) is StopReason.DONE
        assert stretcher.status().steps == before + 600
        assert stretcher.return_to(before) is StopReason.DONE
        assert stretcher.status().steps == before
        assert not link.moving


def test_home_counts_from_the_switch() -> None:
    stretcher, link = simulated()
    with stretcher:
        stretcher.hold(1.0)
        stretcher.jog(2.0)
        assert stretcher.home() is StopReason.DONE
        assert stretcher.status().steps == 0
        assert link.board.machine.stage.homed


def test_stop_while_homing_is_no_failure() -> None:
    stretcher, link = simulated()

    def press(by_s: float) -> None:
        if link.moving and link.clock.now_s() > started_s[0] + 0.5 and not pressed:
            pressed.append(True)
            stretcher.send_stop()

    started_s: list[float] = []
    pressed: list[bool] = []
    with stretcher:
        stretcher.hold(1.0)
        started_s.append(link.clock.now_s())
        link.clock.world.append(press)
        assert stretcher.home(30.0) is StopReason.COMMAND
        assert not link.moving


@pytest.mark.parametrize("speed", [0.0, -1.0, 601.0, float("nan"), float("inf")])
def test_speed_that_can_not_be(speed: float) -> None:
    stretcher, link = simulated()
    with stretcher:
        link.sent.clear()
        with pytest.raises(BadPlan, match=r"from just above 0 to 600 mm/min"):
            stretcher.return_to(0, speed)


def test_moves_are_refused_while_a_stop_is_latched() -> None:
    stretcher, _ = simulated(fault="emergency-stop@start+2")
    with stretcher:
        stretcher.hold(2.5)
        with pytest.raises(Refused, match=r"emergency stop.*release the emergency stop") as caught:
            stretcher.jog(1.0)
        assert caught.value.latched is StopReason.EMERGENCY_STOP
        with pytest.raises(Refused):
            stretcher.clear()  # it is still pressed
        stretcher.hold(2.0)
        assert stretcher.clear() is StopReason.EMERGENCY_STOP
        assert stretcher.jog(1.0) is StopReason.DONE


def test_jog_into_a_limit_says_what_to_do() -> None:
    stretcher, _ = simulated(fault="limit-switch@start+3")
    with stretcher:
        stretcher.hold(1.5)
        with pytest.raises(MotionFailed, match=r"jog.*limit switch.*move the stage away"):
            stretcher.jog(30.0, 60.0)


def test_jog_beyond_the_travel_is_refused() -> None:
    stretcher, _ = simulated()
    with stretcher:
        stretcher.hold(1.0)
        stretcher.home()
        with pytest.raises(Refused, match="out of its range"):
            stretcher.jog(1000.0)


def test_zero_needs_readings() -> None:
    stretcher, _ = simulated(rate_hz=10.0)
    with stretcher:
        with pytest.raises(Refused, match="wait a second"):
            stretcher.zero()
        stretcher.hold(1.0)
        stretcher.zero()
        assert stretcher.status().zero_counts == pytest.approx(stretcher.status().counts, abs=3000)


def test_samples_come_while_streaming_and_only_then() -> None:
    stretcher, _ = simulated()
    with stretcher:
        stretcher.hold(0.5)
        assert stretcher.take(0.1) == ()
        stretcher.stream(True)
        stretcher.hold(1.0)
        batches = stretcher.take(0.1)
        assert sum(len(batch) for batch in batches) == pytest.approx(85, abs=3)
        assert sum(batch.lost for batch in batches) == 0
        assert stretcher.newest == batches[-1]
        stretcher.stream(False)
        stretcher.take(0.1)
        assert stretcher.take(0.5) == ()
        stretcher.stream(True)
        stretcher.hold(0.3)
        assert sum(batch.lost for batch in stretcher.take(0.1)) == 0, "what was not sent is not lost"


def test_long_hold_while_moving_keeps_the_board_alive() -> None:
    stretcher, link = simulated()
    with stretcher:
        stretcher.hold(1.0)
        stretcher.start_pull(30_000, 20.0, 7_000_000, 0)
        stretcher.hold(20.0)
        assert link.moving
        assert stretcher.status().state == BoardState.PULLING


def test_nobody_watching_lets_the_board_stop() -> None:
    stretcher, link = simulated()
    with stretcher:
        stretcher.hold(1.0)
        stretcher.start_pull(30_000, 20.0, 7_000_000, 0)
        link.clock.advance(2.0)
        assert not link.moving
        stretcher.status()
        assert stretcher.latched is StopReason.HOST_SILENT


def test_closing_twice_is_no_fault() -> None:
    stretcher, link = simulated()
    stretcher.open()
    stretcher.close()
    stretcher.close()
    assert link.closed
    assert isinstance(stretcher, Stretcher)
