"""Which calibration holds for a rig: the file a person names, the newest one stored for this board, or what
the board says of itself (nominal; for a simulated board, simulated).

Owns the calibration files: JSON, one calibration each, never overwritten, kept by board in the platform's own
place for data. Knows how a calibration is kept, not how one is made or judged.
"""

from __future__ import annotations

import json
import math
import os
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TypeVar

from recordings.format import ExtensionCalibration, ForceCalibration, JsonValue
from recordings.lines import BadLine, from_json
from recordings.text import shown
from rig.errors import BadPlan
from rig.facts import RigFacts
from rig.model_truth import simulated_extension, simulated_force

FORMAT_NAME = "strandbench-calibration"
FORMAT_VERSION = 1
SUFFIX = ".calibration.json"
FORCE = "force"
EXTENSION = "extension"
#: A calibration file is small; whatever is larger is something else [byte].
LARGEST_FILE = 1_000_000

T = TypeVar("T", ForceCalibration, ExtensionCalibration)


@dataclass(frozen=True, slots=True)
class Calibrations:
    """What turns counts into newtons and steps into millimetres; None where nothing does."""

    force: ForceCalibration | None
    extension: ExtensionCalibration | None


def calibrations_for(
    facts: RigFacts,
    force_file: Path | None = None,
    extension_file: Path | None = None,
    folder: Path | None = None,
) -> Calibrations:
    """The calibrations to use with a rig. Raises BadPlan for a file that is no calibration of this rig."""
    force_file = force_file or newest(facts.board_id, FORCE, folder)
    extension_file = extension_file or newest(facts.board_id, EXTENSION, folder)
    return Calibrations(
        load_force(force_file, facts.board_id) if force_file else nominal_force(facts),
        load_extension(extension_file, facts.board_id) if extension_file else nominal_extension(facts),
    )


def nominal_force(facts: RigFacts) -> ForceCalibration:
    """The board's own claim of counts per newton."""
    if facts.simulated:
        return simulated_force(facts.counts_per_n)
    return ForceCalibration(n_per_count=1.0 / facts.counts_per_n, kind="nominal")


def nominal_extension(facts: RigFacts) -> ExtensionCalibration:
    """The board's own claim of steps per millimetre."""
    if facts.simulated:
        return simulated_extension(facts.steps_per_mm)
    return ExtensionCalibration(mm_per_step=1.0 / facts.steps_per_mm, kind="nominal")


def load_force(path: Path, board_id: int | None) -> ForceCalibration:
    """Read a force calibration, for a board or (None) for any. Raises BadPlan."""
    calibration = _load(path, FORCE, ForceCalibration, board_id)
    if calibration.n_per_count == 0:
        raise BadPlan(f"{shown(path)} says that no count means any force: calibrate the rig again.")
    return calibration


def load_extension(path: Path, board_id: int | None) -> ExtensionCalibration:
    """Read an extension calibration, for a board or (None) for any. Raises BadPlan."""
    calibration = _load(path, EXTENSION, ExtensionCalibration, board_id)
    if calibration.mm_per_step == 0:
        raise BadPlan(f"{shown(path)} says that no step means any length: calibrate the rig again.")
    return calibration


def store(
    calibration: ForceCalibration | ExtensionCalibration,
    board_id: int,
    inputs: dict[str, JsonValue],
    folder: Path | None = None,
) -> Path:
    """Keep a calibration with what it was made from, as the newest one of a board. Raises BadPlan."""
    home = home_of(board_id, folder)
    stem = f"{what_of(calibration)}-{calibration.date or 'undated'}"
    try:
        text = _text(calibration, board_id, inputs)
        home.mkdir(parents=True, exist_ok=True)
        return _write_new(home, stem, text)
    except (OSError, ValueError) as problem:
        raise BadPlan(f"The calibration can't be kept in {home} ({problem}): check the folder.") from problem


def store_as(
    path: Path,
    calibration: ForceCalibration | ExtensionCalibration,
    board_id: int | None,
    inputs: dict[str, JsonValue],
) -> Path:
    """Keep a calibration in a file of that name, never over another one. Raises BadPlan."""
    try:
        _create(path, _text(calibration, board_id, inputs))
    except (OSError, ValueError) as problem:
        why = problem.strerror if isinstance(problem, OSError) else problem
        raise BadPlan(f"The calibration can't be kept in {shown(path)} ({why}): choose another name.") from problem
    return path


def what_of(calibration: ForceCalibration | ExtensionCalibration) -> str:
    """FORCE or EXTENSION."""
    return FORCE if isinstance(calibration, ForceCalibration) else EXTENSION


def newest(board_id: int, what: str, folder: Path | None = None) -> Path | None:
    """The newest stored calibration of a board: by its date, then by its number."""
    found = sorted(home_of(board_id, folder).glob(f"{what}-*{SUFFIX}"))
    return found[-1] if found else None


def _write_new(home: Path, stem: str, text: str) -> Path:
    for number in range(1, 10_000):
        path = home / f"{stem}-{number:04d}{SUFFIX}"
        try:
            _create(path, text)
        except FileExistsError:
            continue
        return path
    raise OSError("there are too many calibrations of one day")


def _create(path: Path, text: str) -> None:
    with path.open("x", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def _text(
    calibration: ForceCalibration | ExtensionCalibration, board_id: int | None, inputs: dict[str, JsonValue]
) -> str:
    content = {
        "format": FORMAT_NAME,
        "version": FORMAT_VERSION,
        "what": what_of(calibration),
        "board_id": board_id,
        "calibration": asdict(calibration),
        "inputs": inputs,
    }
    return json.dumps(content, indent=1, allow_nan=False) + "\n"


def home_of(board_id: int, folder: Path | None = None) -> Path:
    """The folder with what is kept of a board."""
    return folder_of_all(folder) / f"board-{board_id:08x}"


def folder_of_all(folder: Path | None = None) -> Path:
    """The folder with the folders of all boards: the one given, or the platform's own place."""
    if folder is not None:
        return folder
    from platformdirs import user_data_path

    return user_data_path("strandbench", appauthor=False) / "calibrations"


def _load(path: Path, what: str, cls: type[T], board_id: int | None) -> T:
    found = content_of(path)
    if found.get("what") != what:
        raise BadPlan(f"{shown(path)} is not a calibration of {what}: name the other file.")
    if board_id is not None and found.get("board_id") != board_id:
        raise BadPlan(_another_rig(path, found.get("board_id"), board_id))
    try:
        return from_json(cls, found.get("calibration"), "calibration")
    except BadLine as problem:
        raise BadPlan(f"{shown(path)} is damaged ({problem}): calibrate the rig again.") from problem


def content_of(path: Path) -> dict[str, JsonValue]:
    """What a calibration file holds. Raises BadPlan where it is none."""
    found = _read(path)
    if found.get("format") != FORMAT_NAME or found.get("version") != FORMAT_VERSION:
        raise BadPlan(f"{shown(path)} is not a calibration this program can read: name one that `calibrate` made.")
    return found


def _another_rig(path: Path, of: JsonValue, board_id: int) -> str:
    if of is None:
        return f"{shown(path)} doesn't say which rig it was made with: calibrate this rig (board {board_id:08x})."
    other = f"{of:08x}" if isinstance(of, int) else shown(of)
    return (
        f"{shown(path)} was made with another rig (board {other}, and this is {board_id:08x}): calibrate this rig, "
        "or name its own file."
    )


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(text)
    return value


def _read(path: Path) -> dict[str, JsonValue]:
    try:
        with path.open("rb") as file:
            text = file.read(LARGEST_FILE + 1)
        found = json.loads(text[:LARGEST_FILE], parse_float=_finite, parse_constant=_finite)
    except OSError as problem:
        raise BadPlan(f"{shown(path)} can't be read ({problem.strerror}): check the name.") from problem
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise BadPlan(f"{shown(path)} is not a calibration: name a file that `calibrate` made.")
    return found
