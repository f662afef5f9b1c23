"""Which calibration holds for a rig: named, stored, or the board's own claim; never another rig's."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from recordings.format import ExtensionCalibration, ForceCalibration
from rig.calibration_store import calibrations_for, load_extension, load_force, newest, store
from rig.errors import BadPlan
from tests.rig.test_plan import FACTS

FORCE = ForceCalibration(2.9e-7, 1e-10, kind="weights", date="2026-11-03", due="2027-11-03", person="b7")
EXTENSION = ExtensionCalibration(0.00125, u_rel=1e-4, kind="gauge_block", date="2026-11-03")


def test_nominal_where_there_is_none(tmp_path: Path) -> None:
    found = calibrations_for(FACTS, folder=tmp_path)
    assert found.force == ForceCalibration(1 / 3_500_000, kind="nominal")
    assert found.extension == ExtensionCalibration(1 / 800, kind="nominal")


def test_simulated_board_knows_its_own_truth(tmp_path: Path) -> None:
    found = calibrations_for(replace(FACTS, simulated=True), folder=tmp_path)
    assert found.force is not None
    assert found.extension is not None
    assert found.force.kind == found.extension.kind == "simulated"


def test_newest_of_this_board(tmp_path: Path) -> None:
    store(FORCE, 99, {"masses_g": [0, 20, 50]}, tmp_path)
    later = replace(FORCE, n_per_count=3.0e-7, date="2026-11-20")
    store(later, 99, {}, tmp_path)
    store(replace(later, n_per_count=3.1e-7), 99, {}, tmp_path)
    store(replace(FORCE, date="2027-01-01"), 100, {}, tmp_path)
    store(EXTENSION, 99, {}, tmp_path)
    found = calibrations_for(FACTS, folder=tmp_path)
    assert found.force is not None
    assert found.force.n_per_count == 3.1e-7
    assert found.extension == EXTENSION


def test_named_file_goes_before_the_stored_one(tmp_path: Path) -> None:
    store(replace(FORCE, date="2026-12-01"), 99, {}, tmp_path)
    named = store(FORCE, 99, {}, tmp_path / "elsewhere")
    found = calibrations_for(FACTS, force_file=named, folder=tmp_path)
    assert found.force == FORCE


def test_there_and_back_to_the_last_digit(tmp_path: Path) -> None:
    odd = ForceCalibration(
        0.1 + 0.2, 1 / 3, -1e-300, 5e-324, cov=-1e-20, u_rel=1e-3, kind="weights", person="ß\x1b"
    )
    assert load_force(store(odd, 1, {}, tmp_path), 1) == odd
    assert load_extension(store(EXTENSION, 1, {}, tmp_path), None) == EXTENSION


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    paths = [store(FORCE, 99, {}, tmp_path) for _ in range(20)]
    assert len(set(paths)) == 20
    assert newest(99, "force", tmp_path) == paths[-1]


def test_another_rig(tmp_path: Path) -> None:
    path = store(FORCE, 100, {}, tmp_path)
    with pytest.raises(BadPlan, match="made with another rig"):
        calibrations_for(FACTS, force_file=path, folder=tmp_path)


def test_force_is_no_extension(tmp_path: Path) -> None:
    with pytest.raises(BadPlan, match="not a calibration of extension"):
        load_extension(store(FORCE, 99, {}, tmp_path), 99)


def _spoilt(**changes: Any) -> bytes:
    content: dict[str, Any] = {
        "format": "strandbench-calibration",
        "version": 1,
        "what": "force",
        "board_id": 99,
        "calibration": {"n_per_count": 3e-7},
    }
    return json.dumps({**content, **changes}).encode()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is not a calibration"),
        (b"\xff\xfe\x00", "is not a calibration"),
        (b"[" * 100_000, "is not a calibration"),
        (b"[1, 2]", "is not a calibration"),
        (b"{}", "not a calibration this program can read"),
        (_spoilt(version=2), "not a calibration this program can read"),
        (_spoilt(what="extension"), "not a calibration of force"),
        (_spoilt(board_id="99"), "another rig"),
        (_spoilt(calibration=None), "damaged"),
        (_spoilt(calibration={}), "n_per_count.* is missing"),
        (_spoilt(calibration={"n_per_count": "3e-7"}), "must be a number"),
        (_spoilt(calibration={"n_per_count": True}), "must be a number"),
        (_spoilt(calibration={"n_per_count": 0.0}), "no count means any force"),
        (_spoilt(calibration={"n_per_count": float("nan")}), "is not a calibration"),
        (_spoilt(calibration={"n_per_count": float("inf")}), "is not a calibration"),
        (_spoilt(calibration={"n_per_count": 12345}).replace(b"12345", b"1e999"), "is not a calibration"),
        (b'{"format": "' + b"x" * 2_000_000 + b'"}', "is not a calibration"),
    ],
)
def test_file_that_is_none(tmp_path: Path, content: bytes, sentence: str) -> None:
    path = tmp_path / "odd\x1b[31m.json" if sys.platform != "win32" else tmp_path / "odd.json"
    path.write_bytes(content)
    with pytest.raises(BadPlan, match=sentence) as caught:
        load_force(path, 99)
    assert str(caught.value).isprintable()


def test_no_file(tmp_path: Path) -> None:
    for path in (tmp_path / "none.json", tmp_path):
        with pytest.raises(BadPlan, match="can't be read"):
            load_force(path, 99)


def test_folder_that_can_not_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(BadPlan, match="can't be kept"):
        store(FORCE, 99, {}, tmp_path / "file")


def test_number_that_is_none_is_not_kept(tmp_path: Path) -> None:
    with pytest.raises(BadPlan, match="can't be kept"):
        store(ForceCalibration(float("nan")), 99, {}, tmp_path)
    assert list(tmp_path.rglob("*.json")) == []
