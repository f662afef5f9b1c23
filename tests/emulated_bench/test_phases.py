# SPDX-License-Identifier: GPL-3.0-or-later
"""Pulls of several phases against the flashed image: the order, the stops, and the stage back where it began."""

from __future__ import annotations

from pathlib import Path

import pytest

from recordings.reader import read_recording
from rig.run import run_pull
from rig.stretcher import Stretcher
from tests.emulated_bench.test_host_program import Desk
from tests.rig.pulls import plan

METHODS = {
    "proof": {"kind": "proof", "guideline_pct": 10.0},
    "hold": {"kind": "hold", "target_strain_pct": 10.0, "hold_s": 10.0},
    "stretch_return": {"kind": "stretch_return", "target_strain_pct": 10.0, "hold_s": 1.0, "rest_s": 2.0},
}


@pytest.mark.parametrize("kind", METHODS)
def test_every_kind_on_the_image(tmp_path: Path, kind: str) -> None:
    desk = Desk(tmp_path)
    with Stretcher(desk.link, desk.clock) as stretcher:
        outcome = run_pull(stretcher, plan(tmp_path, method=METHODS[kind]))
    recording = read_recording(outcome.path)
    assert outcome.end_reason == "done", outcome.message
    assert outcome.motor_confirmed
    assert outcome.lost == 0
    assert recording.complete
    assert recording.rows.steps[-1] == recording.rows.steps[0]
    names = [mark.data["name"] for mark in recording.marks if mark.kind == "phase"]
    assert names[:2] == ["tighten", "stretch"]


def test_break_in_the_stretch_on_the_image(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    with Stretcher(desk.link, desk.clock) as stretcher:
        method = {"kind": "stretch_return", "target_strain_pct": 60.0}
        outcome = run_pull(stretcher, plan(tmp_path, method=method))
    assert outcome.end_reason == "break"
    assert outcome.motor_confirmed
