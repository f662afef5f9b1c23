"""Strand and rig in series, breaks, and which strand is in the clamps when."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from rig.model_truth import COMPLIANCE_MM_PER_N
from rig.simulated.clamps import Clamps
from rig.simulated.draw import draw
from rig.simulated.settings import SimulationSettings
from rig.simulated.specimen import PullTruth, Specimen
from rig.simulated.strand import Strand


def specimen(strand: str, gauge_mm: float = 30.0, slack_mm: float = 0.0) -> Specimen:
    settings = SimulationSettings(strand=strand, gauge_length_mm=gauge_mm, slack_mm=slack_mm)
    return Specimen([Strand(truth, Random(1)) for truth in draw(settings, 0)], mounted_mm=5.0)


@pytest.mark.parametrize("gauge_mm", [10.0, 20.0, 50.0])
def test_stage_motion_over_force_is_the_wire_s_and_the_rig_s_give_added(gauge_mm: float) -> None:
    # Springs in series: dL/F = l0/(E A) + Cs, the system compliance of ASTM C1557.
    wire = specimen("stiff-wire", gauge_mm)
    (truth,) = wire.truth.parts
    forces = [wire.hold(5.0 + mm, 0.01) for mm in (0.01, 0.02)]
    measured = 0.01 / (forces[1] - forces[0])
    own = gauge_mm / (200_000.0 * truth.area_um2 * 1e-6)
    assert measured == pytest.approx(own + COMPLIANCE_MM_PER_N, rel=1e-4)


def test_a_strand_sees_the_stage_s_motion_less_the_give() -> None:
    hair = specimen("virgin")
    (truth,) = hair.truth.parts
    ideal = replace(truth, relaxed_share=0.0, stiffer_per_decade=0.0)
    hair = Specimen([Strand(ideal, Random(1))], mounted_mm=0.0)
    for n in range(1, 400):
        force_n = hair.hold(0.03 * n, 0.1)
        strain = hair.truth.furthest_strain
        assert force_n == pytest.approx(ideal.force_n(strain), rel=1e-9)
        assert strain * 30.0 + COMPLIANCE_MM_PER_N * force_n == pytest.approx(0.03 * n, abs=2e-7)


def test_a_partial_break_keeps_part_of_its_load_and_then_none() -> None:
    hair = specimen("partial-break")
    first, second = hair.truth.parts
    assert first.break_strain is not None
    assert second.break_strain is not None
    falls = []
    for n in range(1, 6000):
        stage_mm = 5.0 + 0.003 * n
        if stage_mm >= hair.break_mm:
            falls.append(hair.tear(stage_mm, 0.01, now_us=n))
        hair.hold(stage_mm, 0.01)
    assert len(falls) == 2
    assert falls[0][1] / falls[0][0] == pytest.approx(0.65, abs=0.005)
    assert falls[1][1] == 0.0
    assert hair.truth.outcome == "broke"
    assert hair.truth.break_strain == pytest.approx(first.break_strain, abs=2e-4)
    assert hair.truth.break_force_n == falls[0][0]


def settings(strand: str = "virgin") -> SimulationSettings:
    return SimulationSettings(strand=strand, slack_mm=0.2)


def numbers(truths: list[PullTruth]) -> list[int]:
    return [truth.parts[0].number for truth in truths]


def stretch(clamps: Clamps, from_mm: float, strain: float) -> None:
    for n in range(1, 101):
        stage_mm = from_mm + (0.2 + 30.2 * strain) * n / 100
        if stage_mm >= clamps.break_mm:
            clamps.specimen.tear(stage_mm, 0.1, 1)
        clamps.hold(stage_mm, 0.1)


def test_before_a_test_the_strand_goes_where_the_stage_goes() -> None:
    clamps = Clamps(settings(), 5.0)
    clamps.set_off(homing=False)
    assert clamps.hold(25.0, 1.0) == 0.0, "the clamps are empty while the stage moves"
    clamps.come_to_rest(12.0)
    assert clamps.specimen.truth.mounted_at_mm == 12.0
    assert clamps.finished == []


def test_after_a_zero_the_strand_stays_where_it_was_mounted() -> None:
    clamps = Clamps(settings(), 5.0)
    clamps.begin_test(5.0)
    clamps.set_off(homing=False)
    assert clamps.hold(5.5, 1.0) > 0.0
    clamps.come_to_rest(5.5)
    clamps.begin_test(5.5)
    assert clamps.specimen.truth.mounted_at_mm == 5.0, "a strand that was tensioned is not mounted anew"


def test_a_broken_strand_is_replaced_by_the_next_when_the_stage_is_back() -> None:
    clamps = Clamps(settings(), 5.0)
    clamps.begin_test(5.0)
    stretch(clamps, 5.0, 0.8)
    assert clamps.specimen.truth.outcome == "broke"
    clamps.set_off(homing=False)
    clamps.come_to_rest(5.0)
    assert numbers(clamps.finished) == [0]
    assert clamps.specimen.truth.parts[0].number == 1
    assert clamps.specimen.truth.outcome == "intact"


def test_a_proofed_strand_stays_for_another_pull_and_an_overstretched_one_does_not() -> None:
    for strain, next_number in ((0.20, 0), (0.31, 1)):
        clamps = Clamps(settings("wet"), 5.0)
        clamps.begin_test(5.0)
        stretch(clamps, 5.0, strain)
        clamps.set_off(homing=False)
        clamps.come_to_rest(5.0)
        clamps.begin_test(5.0)
        assert clamps.specimen.truth.parts[0].number == next_number


def test_homing_takes_a_touched_strand_out() -> None:
    clamps = Clamps(settings(), 5.0)
    clamps.begin_test(5.0)
    stretch(clamps, 5.0, 0.1)
    clamps.set_off(homing=True)
    clamps.come_to_rest(0.0)
    assert numbers(clamps.finished) == [0]
    assert clamps.finished[0].outcome == "intact"
    assert clamps.finished[0].furthest_strain == pytest.approx(0.1, abs=1e-3)


def test_homing_keeps_an_untouched_strand_s_number() -> None:
    clamps = Clamps(settings(), 5.0)
    clamps.begin_test(5.0)
    clamps.set_off(homing=True)
    clamps.come_to_rest(0.0)
    assert clamps.finished == []
    assert clamps.specimen.truth.mounted_at_mm == 0.0
