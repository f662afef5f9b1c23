"""Readings of a calibration that were taken earlier or elsewhere, from a small table with named columns."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tui.failure import CommandError
from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.metrology.extension_calibration import LengthStep
    from analysis.metrology.load_steps import LoadStep

#: A table of readings is small; whatever is larger is something else [byte].
LARGEST_FILE = 1_000_000
#: Words for the way a load or position was reached; the first of each pair is what the help names.
RISING = {"up": True, "on": True, "out": True, "down": False, "off": False, "back": False}

FORCE_COLUMNS = ("mass_g", "counts")
FORCE_EXTRAS = ("sd_counts", "n", "direction")
LENGTH_COLUMNS = ("reference_mm", "steps")
LENGTH_EXTRAS = ("u_mm", "direction")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: its place, for complaints, and its cells by column."""

    place: str
    cells: dict[str, str]

    def number(self, name: str, default: float | None = None) -> float:
        """A cell as a number; a default for one that is empty or has no column. Raises CommandError."""
        text = self.cells.get(name, "")
        if not text and default is not None:
            return default
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise CommandError(f"{self.place}: {name} is {clean(text)!r}, and must be a number such as 20 or 20.5.")
        return value

    def whole(self, name: str, default: int | None = None) -> int:
        """A cell as a whole number. Raises CommandError."""
        value = self.number(name, default)
        if value != int(value):
            raise CommandError(f"{self.place}: {name} is {value:g}, and must be a whole number.")
        return int(value)

    def rising(self, default: bool) -> bool:
        """Whether the load or position was reached from below. Raises CommandError."""
        text = self.cells.get("direction", "").lower()
        if text and text not in RISING:
            raise CommandError(f"{self.place}: the direction is {clean(text)!r}, and must be up or down.")
        return RISING.get(text, default)


def load_steps(path: Path) -> list[LoadStep]:
    """The steps of a force calibration: mass_g, counts, and sd_counts, n, direction where known."""
    from analysis.metrology.load_steps import LoadStep

    rows = _rows(path, FORCE_COLUMNS, FORCE_EXTRAS)
    steps, before = list[LoadStep](), 0.0
    for row in rows:
        mass, sd, n = row.number("mass_g"), row.number("sd_counts", 0.0), row.whole("n", 1)
        if sd < 0 or n < 1:
            raise CommandError(f"{row.place}: sd_counts must be 0 or more and n 1 or more.")
        steps.append(LoadStep(mass, row.number("counts"), sd, n, row.rising(abs(mass) >= abs(before))))
        before = mass
    return steps


def length_steps(path: Path, u_mm: float) -> list[LengthStep]:
    """The steps of an extension calibration: reference_mm, steps, and u_mm, direction where known."""
    from analysis.metrology.extension_calibration import LengthStep

    steps, before = list[LengthStep](), -math.inf
    for row in _rows(path, LENGTH_COLUMNS, LENGTH_EXTRAS):
        reference, u, count = row.number("reference_mm"), row.number("u_mm", u_mm), row.whole("steps")
        if u < 0:
            raise CommandError(f"{row.place}: u_mm must be 0 or more.")
        steps.append(LengthStep(reference, u, count, row.rising(count >= before)))
        before = count
    return steps


def _rows(path: Path, required: Sequence[str], optional: Sequence[str]) -> list[Row]:
    """The lines of a table with a line of column names. Raises CommandError, OSError."""
    with path.open("rb") as file:
        data = file.read(LARGEST_FILE + 1)
    name, columns = clean(path.name), ",".join((*required, *(f"[{extra}]" for extra in optional)))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = ""
    numbered = enumerate(text.splitlines(), 1)
    lines = [(number, line) for number, line in numbered if line.strip() and not line.startswith("#")]
    if len(data) > LARGEST_FILE or not lines:
        raise CommandError(f"{name} is no table of readings: its first line names the columns {columns}.")
    delimiter = next((sign for sign in ";\t" if sign in lines[0][1]), ",")
    titles = [title.lower() for title in _cells(lines[0][1], delimiter)]
    if missing := [column for column in required if column not in titles]:
        raise CommandError(f"{name} has no column {missing[0]}: its first line must name the columns {columns}.")
    return [
        Row(f"{name}, line {number}", dict(zip(titles, _cells(line, delimiter), strict=False)))
        for number, line in lines[1:]
    ]


def _cells(line: str, delimiter: str) -> list[str]:
    """The cells of a line; a decimal comma is as good as a point. What csv can't take apart is one cell."""
    try:
        cells = next(csv.reader([line], delimiter=delimiter))
    except csv.Error:
        cells = [line]
    return [cell.strip().replace(",", ".") for cell in cells]
