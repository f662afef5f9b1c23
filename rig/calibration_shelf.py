"""Everything kept of the boards' calibrations: what there is, what it was made from, and the daily checks.

Owns the log of checks: JSON lines beside the calibrations of a board, only ever added to. How a calibration file
is written and read is `calibration_store`'s.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from recordings.format import ExtensionCalibration, ForceCalibration, JsonValue
from rig.calibration_store import (
    EXTENSION,
    FORCE,
    SUFFIX,
    content_of,
    folder_of_all,
    home_of,
    load_extension,
    load_force,
)
from rig.errors import BadPlan

CHECKS = "checks.jsonl"


@dataclass(frozen=True, slots=True)
class Stored:
    """One calibration file: `what` is "force" or "extension"; `board_id` None for a board that says none."""

    path: Path
    what: str
    board_id: int | None
    calibration: ForceCalibration | ExtensionCalibration
    inputs: dict[str, JsonValue]


def load_any(path: Path) -> Stored:
    """Read a calibration file of either kind. Raises BadPlan."""
    content = content_of(path)
    what, board_id, inputs = content.get("what"), content.get("board_id"), content.get("inputs")
    loaded = load_extension(path, None) if what == EXTENSION else load_force(path, None)
    return Stored(
        path,
        EXTENSION if what == EXTENSION else FORCE,
        board_id if isinstance(board_id, int) else None,
        loaded,
        inputs if isinstance(inputs, dict) else {},
    )


def stored(board_id: int | None = None, folder: Path | None = None) -> tuple[list[Stored], list[BadPlan]]:
    """All calibrations kept, of one board or of all, the oldest first; and what is wrong with files that aren't."""
    place = folder_of_all(folder) if board_id is None else home_of(board_id, folder)
    found, problems = list[Stored](), list[BadPlan]()
    for path in sorted(place.rglob(f"*{SUFFIX}")):
        try:
            found.append(load_any(path))
        except BadPlan as problem:
            problems.append(problem)
    return found, problems


def log_check(board_id: int, entry: dict[str, JsonValue], folder: Path | None = None) -> Path:
    """Add a daily check to the log of a board. Raises BadPlan."""
    home = home_of(board_id, folder)
    try:
        home.mkdir(parents=True, exist_ok=True)
        path = home / CHECKS
        with path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(entry, allow_nan=False) + "\n")
    except (OSError, ValueError) as problem:
        raise BadPlan(f"The check can't be logged in {home} ({problem}): check the folder.") from problem
    return path


def checks_of(board_id: int, folder: Path | None = None) -> list[dict[str, JsonValue]]:
    """The daily checks of a board, the oldest first; lines that can't be read are passed over."""
    try:
        lines = (home_of(board_id, folder) / CHECKS).read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return []
    entries = list[dict[str, JsonValue]]()
    for line in lines:
        try:
            entry = json.loads(line)
        except ValueError:
            continue
        if isinstance(entry, dict):
            entries.append(entry)
    return entries
