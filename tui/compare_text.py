"""Two or more results side by side as text: their curves in one picture, and the numbers that tell them apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.curve_text import curves_lines
from tui.format import label_of, quantity_cells
from tui.output import say
from tui.safe_text import clean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from analysis.results import PullResult

#: What stands in the small table: elongation alone tells only gross damage.
TOLD = ("elongation_at_break_pct", "force_max_n", "stress_at_break_mpa", "yield_stress_mpa", "work_to_20pct_mj_m3")

#: Width of a column of the table.
COLUMN = 27


def say_side_by_side(results: Sequence[PullResult], names: Sequence[str]) -> None:
    """Print the curves of results together, and their foremost numbers in columns."""
    for line in curves_lines(results, names):
        say(line)
    say()
    wide = max(len(label_of(name)) for name in TOLD)
    say(f"  {'':{wide}}" + "".join(f"{clean(name, COLUMN - 2):>{COLUMN}}" for name in names))
    for name in TOLD:
        cells = [_cell(name, result) for result in results]
        say(f"  {label_of(name):{wide}}" + "".join(f"{cell:>{COLUMN}}" for cell in cells))


def _cell(name: str, result: PullResult) -> str:
    value, margin, _ = quantity_cells(name, getattr(result, name))
    return f"{value} ± {margin}" if margin else value
