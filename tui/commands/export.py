"""`strandbench export`: the results of many pulls as one table, a row a pull, or as one figure."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from tui.arguments import Subparsers, add_command, measure
from tui.failure import DONE, NOT_DONE
from tui.files import expanded
from tui.output import Progress, complain, note

SUMMARY = "write the results of many pulls into one table"

PURPOSE = """
Work out the results of recordings and write them into one table, a row a pull: .csv, .xlsx, or .parquet where the
package pyarrow is installed. Units are in the names of the columns. Every quantity has its value, its standard
uncertainty (u_...) and, where it was not measured, the reason. With .png, .svg or .pdf the curves are drawn
instead, as groups by the strands' history.

A file that gives no result keeps its row, with the reason in the column "problem", and the exit status says so.
Nothing is overwritten. A text that a spreadsheet would compute stands behind an apostrophe in a .csv."""

EXAMPLES = """
strandbench export pulls/*.pull.csv --to results.csv
strandbench export pulls/*.pull.csv --to results.xlsx
strandbench export --gauge-length-mm 30 tables/*.csv --to tables.xlsx"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    parser = add_command(subparsers, "export", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES)
    parser.add_argument("files", nargs="+", metavar="FILE", help="recordings or tables")
    parser.add_argument("--to", type=Path, required=True, metavar="FILE", help="the table or figure to write")
    parser.add_argument(
        "--gauge-length-mm", type=measure, metavar="MM", help="for tables: distance between the clamps"
    )
    parser.add_argument("--diameter-um", type=measure, metavar="UM", help="for tables: diameter of the strands")


def run(args: argparse.Namespace) -> int:
    """Export; 0 only when every file gave a result."""
    from tui.analysing import NOTHING_SPECIAL, Wishes
    from tui.lab.shelf import reasons_set_aside
    from tui.library.export import Beside, export
    from tui.library.tags import all_tags

    paths = expanded(args.files)
    wishes = Wishes(gauge_length_mm=args.gauge_length_mm, diameter_um=args.diameter_um)
    beside = Beside(all_tags(), reasons_set_aside(), {})
    with Progress("exporting", len(paths)) as progress:
        made = export(
            paths, args.to, lambda _: progress.step(), beside, wishes if wishes != NOTHING_SPECIAL else None
        )
    for _, problem in made.problems:
        complain(problem)
    note(f"{made.count - len(made.problems)} of {made.count} pulls: {made.path}")
    return NOT_DONE if made.problems else DONE
