"""Old recordings with corrected calibrations: the numbers follow, and the result says so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analysis.errors import InputError
from analysis.recalibration import recalibrated_trace
from recordings.format import ExtensionCalibration, ForceCalibration
from tests.analysis.test_from_recording import HEADER, recording

BETTER = ForceCalibration(1.02e-6, kind="weights", date="2026-11-20", due="2027-11-20", identifier="force-x")
FINER = ExtensionCalibration(6.3e-4, kind="dial gauge", date="2026-11-21")


def told(trace: object) -> list[str]:
    return [text for code, text in trace.notes if code == "recalibrated"]  # type: ignore[attr-defined]


def test_force_and_extension_follow_the_new_scales() -> None:
    before, after = recalibrated_trace(recording()), recalibrated_trace(recording(), BETTER, FINER)
    assert before.force_n is not None
    assert before.extension_mm is not None
    assert after.force_n == pytest.approx(1.02 * before.force_n)
    assert after.extension_mm == pytest.approx(before.extension_mm * 6.3 / 6.25)
    assert after.force_calibration == BETTER
    assert told(before) == []


def test_both_dates_are_told() -> None:
    (force,) = told(recalibrated_trace(recording(), BETTER))
    assert "calibration of 2026-11-20 (force-x)" in force
    assert "calibration of 2026-11-01" in force
    forces = told(recalibrated_trace(recording(), BETTER, FINER))
    assert len(forces) == 2
    assert "calibration of 2026-11-21" in forces[1]


@pytest.mark.parametrize(
    ("old", "words"),
    [
        (None, "recorded with none"),
        (ForceCalibration(1e-6), "the board's own claim"),
        (ForceCalibration(1e-6, kind="simulated"), "the simulated rig's own scale"),
        (ForceCalibration(1e-6, kind="weights"), "of an unknown day"),
    ],
)
def test_what_it_was_recorded_with(old: ForceCalibration | None, words: str) -> None:
    trace = recalibrated_trace(recording(header=replace(HEADER, force_calibration=old)), BETTER)
    assert words in told(trace)[0]
    assert trace.force_n is not None
    assert "uncalibrated" not in [code for code, _ in trace.notes]


def test_what_a_board_prints_itself_can_not_be_calibrated() -> None:
    printed = replace(HEADER, force_calibration=ForceCalibration(1e-6, kind="printed"))
    with pytest.raises(InputError, match="prints its force itself"):
        recalibrated_trace(recording(header=printed), BETTER)
