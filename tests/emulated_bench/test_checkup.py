# SPDX-License-Identifier: GPL-3.0-or-later
"""The program's health check against the flashed image: a sound rig is found sound, a faulty one is found out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rig.checkup import run_checkup
from rig.findings import Finding, Grade
from rig.stretcher import Stretcher
from tests.emulated_bench.image_link import ImageLink
from tests.emulated_bench.rigs import EmulatedRig
from tests.links import LockstepClock

NOISE_COUNTS = 150
NEAR_AT_STEPS = -2000


def checked(prepare: Callable[[EmulatedRig], None] = lambda rig: None) -> dict[str, Finding]:
    """The findings on an empty rig, by name."""
    rig = EmulatedRig()
    prepare(rig)
    rig.set("offset_counts", 60_000)
    rig.set("noise_counts", NOISE_COUNTS)
    rig.set("near_at", NEAR_AT_STEPS)
    clock = LockstepClock()
    link = ImageLink(rig, clock)
    clock.advance(0.5)
    with Stretcher(link, clock) as stretcher:
        findings = run_checkup(stretcher, move=True)
    rig.close()
    return {finding.name: finding for finding in findings}


def test_a_sound_rig() -> None:
    found = checked()
    assert {name: finding.grade for name, finding in found.items() if finding.grade is not Grade.OK} == {
        "far limit switch": Grade.NOT_DONE,
        "emergency stop": Grade.NOT_DONE,
    }


@pytest.mark.parametrize(
    ("befall", "name"),
    [
        (lambda rig: rig.set("slip_every", 100), "lost steps"),
        (lambda rig: rig.set("clock_ppm", 10_000), "clock"),
        (lambda rig: rig.set("rate_hz", 10), "rate"),
    ],
    ids=["steps lost", "oscillator 1 % off", "wrong rate"],
)
def test_a_faulty_rig(befall: Callable[[EmulatedRig], None], name: str) -> None:
    found = checked(befall)
    (finding,) = [finding for key, finding in found.items() if name in key]
    assert finding.grade in (Grade.NOTICE, Grade.BAD)
    assert finding.advice
