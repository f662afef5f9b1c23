"""One pull as one row of a table: units in the names, a value, its u and a reason for every quantity. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.results import PullResult, Quantity
    from recordings.format import Method, Specimen
    from tui.analysing import Analysed

Cell = str | float | bool | None
Row = dict[str, Cell]

#: What a row takes from the strand and from the method, under the names that they have in a recording.
SPECIMEN = (
    *("reference", "strand", "zone", "history", "condition", "series", "gauge_length_mm", "diameter_um"),
    "linear_density_tex",
)
METHOD = ("kind", "speed_mm_min", "target_strain_pct", "temperature_c", "humidity_pct", "operator")

#: Longest text in a cell [characters].
LONGEST_CELL = 400


@dataclass(frozen=True, slots=True)
class Extras:
    """What stands beside a recording, not in it."""

    recorded_at: str = ""
    tags: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    #: Why a series does not count it; "" where it does.
    set_aside: str = ""


def columns() -> list[str]:
    """All columns, in order."""
    from analysis.results import QUANTITIES

    quantities = [name for one in QUANTITIES for name in (one, f"u_{one}", f"{one}_not_measured")]
    return [
        *("recording", "recorded_at", "simulated", "complete"),
        *SPECIMEN,
        *METHOD,
        *("outcome", "verdict", "guideline_pct", "probability_meets", "elongation_reached_pct"),
        *quantities,
        *("flags", "set_aside", "tags", "notes", "problem"),
    ]


def row_of(path: Path, analysed: Analysed, extras: Extras) -> Row:
    """The row of a pull that was analysed."""
    result = analysed.result
    verdict = result.verdict
    return {
        **_empty(path, extras),
        "simulated": result.simulated,
        "complete": result.complete,
        **_fields(analysed.specimen, SPECIMEN),
        **_fields(analysed.method, METHOD),
        "outcome": result.outcome,
        "verdict": verdict.verdict_class,
        "guideline_pct": verdict.guideline_pct,
        "probability_meets": verdict.probability_meets,
        "elongation_reached_pct": result.elongation_reached_pct,
        **_quantities(result),
        "flags": " ".join(flag.code for flag in result.flags),
    }


def row_without_result(path: Path, problem: str, extras: Extras) -> Row:
    """The row of a file that gives no result: it stays in the table, with the reason."""
    return {**_empty(path, extras), "problem": clean(problem, LONGEST_CELL)}


def _empty(path: Path, extras: Extras) -> Row:
    return {
        **dict.fromkeys(columns()),
        "recording": clean(path.name, LONGEST_CELL),
        "recorded_at": extras.recorded_at or None,
        "set_aside": clean(extras.set_aside, LONGEST_CELL) or None,
        "tags": ", ".join(extras.tags) or None,
        "notes": clean(" / ".join(extras.notes), LONGEST_CELL) or None,
    }


def _fields(of: Specimen | Method | None, names: tuple[str, ...]) -> Row:
    values = {name: getattr(of, name, None) for name in names}
    return {
        name: clean(value, LONGEST_CELL) or None if isinstance(value, str) else value
        for name, value in values.items()
    }


def _quantities(result: PullResult) -> Row:
    from analysis.results import QUANTITIES

    row: Row = {}
    for name in QUANTITIES:
        row.update(_quantity(name, getattr(result, name)))
    return row


def _quantity(name: str, quantity: Quantity) -> Row:
    from analysis.results import NotMeasured

    if isinstance(quantity, NotMeasured):
        return {f"{name}_not_measured": clean(quantity.reason, LONGEST_CELL)}
    return {name: quantity.value, f"u_{name}": quantity.u}
