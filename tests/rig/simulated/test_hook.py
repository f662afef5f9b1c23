"""Weights on the hook of a simulated rig: how hard they pull, and when the next one is hung."""

from __future__ import annotations

import pytest

from firmware_protocol.messages import Stream
from firmware_protocol.vocabulary import Result
from rig.simulated.amplifier import COUNTS_PER_N
from rig.simulated.hook import Hook
from rig.simulated.server import make_server
from rig.simulated.settings import SimulationSettings
from tests.rig.simulated.desk import Desk


def level(desk: Desk) -> float:
    """Mean of a second of readings [count], the zero of the cell taken off."""
    assert desk.result(Stream(0, 1)) is Result.OK
    desk.wait(0.2)
    before = len(desk.samples())
    desk.wait(1.0)
    readings = [sample.counts for sample in desk.samples()[before:]]
    zero = desk.board.machine.amplifier.zero_counts
    assert desk.result(Stream(0, 0)) is Result.OK
    return sum(readings) / len(readings) - zero


def test_a_weight_pulls_as_hard_as_a_conventional_mass_in_air() -> None:
    # OIML D 28: F = m g (1 - 1.2/8000), here with 9.81194 m/s2: 100 g pull with 0.98104681 N.
    hook = Hook((100.0,))
    assert hook.force_n == pytest.approx(0.98104681, abs=5e-8)


def test_the_next_weight_is_hung_each_time_readings_were_taken() -> None:
    desk = Desk("hook", hang_g=(0.0, 50.0, 100.0))
    desk.identify()
    pulls = [level(desk) / COUNTS_PER_N for _ in range(4)]
    # 110 readings of 150 counts of noise: 14 counts, 4 uN
    assert pulls == pytest.approx([0.0, 0.490523, 0.981047, 0.981047], abs=2e-5)


def test_asking_for_no_readings_twice_hangs_one_weight() -> None:
    desk = Desk("hook", hang_g=(0.0, 50.0, 100.0))
    desk.identify()
    for on in (0, 0, 1, 1, 0, 0):
        assert desk.result(Stream(0, on)) is Result.OK
    assert desk.board.machine.clamps.hook.mass_g == 50.0


def test_a_weight_hung_by_hand_replaces_what_hung_there() -> None:
    server = make_server(SimulationSettings(strand="hook", hang_g=(20.0,)), "tcp://127.0.0.1:0")
    server.hang(10.0)
    server.hang(30.0)
    server.step()
    assert server.board.machine.clamps.hook.mass_g == 30.0
    server.close()
    server.run()


def test_a_spring_and_a_weight_pull_together() -> None:
    desk = Desk("reference-spring", hang_g=(20.0,))
    desk.identify()
    assert level(desk) / COUNTS_PER_N == pytest.approx(0.196209, abs=2e-5)


@pytest.mark.parametrize("mass_g", [-1.0, 1001.0, float("nan")])
def test_weights_that_can_not_be(mass_g: float) -> None:
    with pytest.raises(ValueError, match="weight must be from 0 to 1000 g"):
        SimulationSettings(strand="hook", hang_g=(mass_g,))
