"""Where series are kept: each in a file of its own, whole after every step; and what a killed program left."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from recordings.format import SUFFIX as RECORDING
from recordings.lines import BadLine, decode_header
from recordings.reader import HEAD_BYTES
from tui.lab.plan import Plan, Stray, recorded
from tui.safe_text import clean
from tui.store.files import SUFFIX, load, save
from tui.store.place import NAME, StoreProblem, home

#: What the name of a series' file begins with.
BEGINNING = "series-"


@dataclass(frozen=True, slots=True)
class Shelf:
    """The series that could be read, the newest first, and sentences about files that could not."""

    plans: tuple[Plan, ...]
    problems: tuple[str, ...]


def name_of(plan: Plan) -> str:
    """The name that a series is kept under: the same for all that becomes of it."""
    return f"{BEGINNING}{plan.begun.astimezone(UTC):%Y%m%d-%H%M%S-%f}"


def keep(plan: Plan) -> None:
    """Keep a series as it is now. Raises StoreProblem; what was kept before then stays."""
    save(name_of(plan), plan)


def kept(plan: Plan) -> Plan | None:
    """The series as it was kept last; None where it was not. Raises StoreProblem."""
    return load(name_of(plan), Plan).value


def all_plans() -> Shelf:
    """Every series that can be read. Blocks."""
    plans, problems = [], []
    for path in sorted(home().glob(f"{BEGINNING}*{SUFFIX}")):
        if not NAME.fullmatch(path.stem):
            continue
        try:
            found = load(path.stem, Plan)
        except StoreProblem as problem:
            problems.append(f"{problem}.")
            continue
        plans += [found.value] if found.value is not None else []
        problems += [found.problem] if found.problem else []
    plans.sort(key=lambda plan: plan.begun, reverse=True)
    return Shelf(tuple(plans), tuple(problems))


def reasons_set_aside() -> dict[str, str]:
    """Why pulls of all series do not count, by the path of their recording."""
    return {pull.recording: pull.aside for plan in all_plans().plans for pull in plan.pulls if pull.aside}


def strays(plan: Plan, folder: Path) -> tuple[Stray, ...]:
    """Recordings in a folder that say they belong to the series and that it does not know. Blocks."""
    known = recorded(plan)
    found = []
    for path in sorted(folder.glob(f"*{RECORDING}")):
        if path.name not in known and path.stat().st_mtime >= plan.begun.timestamp() - 1:
            stray = _stray(plan, path)
            found += [stray] if stray is not None else []
    return tuple(found)


def _stray(plan: Plan, path: Path) -> Stray | None:
    with contextlib.suppress(OSError, BadLine, ValueError):
        with path.open("rb") as file:
            header = decode_header(file.readline(HEAD_BYTES).rstrip(b"\n"))
        if header.specimen.series == plan.series:
            at = datetime.fromisoformat(header.recorded_at)
            return Stray(str(path), header.specimen.strand, clean(header.specimen.zone), at.astimezone(UTC))
    return None
