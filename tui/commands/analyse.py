"""`strandbench analyse`: results from recordings and from tables of other programs."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.analysing import Wishes
from tui.arguments import Parser, Subparsers, add_command, add_json, guideline_pct, measure
from tui.failure import DONE, NOT_DONE, CommandError, report
from tui.files import expanded
from tui.output import Progress, note, say, say_json
from tui.thickness import add_thickness_options, thickness_of

if TYPE_CHECKING:
    from analysis.results import PullResult

SUMMARY = "work out the results of recordings or tables"

PURPOSE = """
Work out the result of one or more pulls: how far the strand stretched before it broke, how strong and how
stiff it was, how sure each number is, and how that stands against the guideline.

A file is a recording of this program, or a table of another one (CSV, TSV, text or .xlsx). In a table the
columns are found by their titles and units; name them where that fails. A table says nothing of the strand,
so give at least its gauge length: the distance between the clamps at the start."""

EXAMPLES = """
strandbench analyse pulls/2026-11-25_head-A.pull.csv
strandbench analyse --json pulls/*.pull.csv
strandbench analyse --figure strand.pdf pulls/2026-11-25_head-A.pull.csv
strandbench analyse --gauge-length-mm 30 --diameter-um 68 strip.xlsx
strandbench analyse --force-calibration better.calibration.json pulls/*.pull.csv
strandbench analyse --gauge-length-mm 30 --force "Load [gf]" --extension 3 table.csv"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "[options] FILE …"
    parser = add_command(
        subparsers, "analyse", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes
    )
    parser.add_argument("files", nargs="+", metavar="FILE", help="recordings or tables")
    add_json(parser)
    _add_strand_options(parser)
    add_thickness_options(parser)
    _add_column_options(parser)
    _add_calibration_options(parser)
    parser.add_argument(
        "--figure",
        type=Path,
        metavar="FILE",
        help="draw the result (.png, .svg or .pdf); of several, each under that name with its number",
    )
    parser.add_argument(
        "--no-slack", action="store_true", help="count the stretch from the first reading, slack and all"
    )
    parser.add_argument("--no-compliance", action="store_true", help="do not take out how far the rig itself gives")
    parser.add_argument(
        "--even-if-altered", action="store_true", help="analyse a recording although it was changed after the pull"
    )


def _add_strand_options(parser: Parser) -> None:
    parser.add_argument(
        "--gauge-length-mm",
        type=measure,
        metavar="MM",
        help="distance between the clamps at the start; needed for tables, corrects recordings",
    )
    parser.add_argument(
        "--guideline-pct",
        type=guideline_pct,
        metavar="PCT",
        help="least stretch a strand should reach (default: as recorded, else 20)",
    )
    parser.add_argument("--guideline", type=Path, metavar="FILE", help="a guideline file of your own")


def _add_calibration_options(parser: Parser) -> None:
    for what in ("force", "extension"):
        parser.add_argument(
            f"--{what}-calibration", type=Path, metavar="FILE", help="instead of the one in the recording"
        )


def _add_column_options(parser: Parser) -> None:
    for name, example in (("force", '"Load [gf]"'), ("extension", '"3 [mm]"'), ("time", '"t [s]"')):
        parser.add_argument(
            f"--{name}",
            metavar="COLUMN",
            help=f"the {name} column of a table, by title or number, such as {example}",
        )
    parser.add_argument("--sheet", metavar="NAME", help="which sheet of a workbook")


def run(args: argparse.Namespace) -> int:
    """Analyse each file; 0 only when every one gave a result."""
    if args.figure is not None:
        from tui.figures.canvas import check_ending

        check_ending(args.figure)
    paths = expanded(args.files)
    results = _results(paths, _wishes(args))
    if not args.json:
        _say([result for _, result in results])
    elif results or len(paths) > 1:
        objects = [{**result.to_json(), "recording": str(path)} for path, result in results]
        say_json(objects, as_list=len(paths) > 1)
    drawn = _draw([result for _, result in results], args.figure)
    return DONE if drawn and len(results) == len(paths) else NOT_DONE


def _draw(results: list[PullResult], figure: Path | None) -> bool:
    """Draw each result; one that can't be drawn is complained about, and the others go on."""
    if figure is None:
        return True
    from analysis.errors import InputError
    from tui.figures.result import draw_result, numbered

    drawn = True
    for number, result in enumerate(results, 1):
        path = numbered(figure, number, len(results))
        try:
            draw_result(result, path)
        except InputError as problem:
            drawn = False
            report(problem)
        else:
            note(f"Figure: {path}")
    return drawn


def _wishes(args: argparse.Namespace) -> Wishes:
    return Wishes(
        gauge_length_mm=args.gauge_length_mm,
        thickness=thickness_of(args),
        force_calibration=args.force_calibration,
        extension_calibration=args.extension_calibration,
        time=args.time,
        force=args.force,
        extension=args.extension,
        sheet=args.sheet,
        guideline_pct=args.guideline_pct,
        guideline_file=args.guideline,
        remove_slack=not args.no_slack,
        correct_compliance=not args.no_compliance,
        even_if_altered=args.even_if_altered,
    )


def _results(paths: list[Path], wishes: Wishes) -> list[tuple[Path, PullResult]]:
    """The results there are; a file that gives none is complained about, and the others go on."""
    from tui.batch import analyse_many

    results = []
    with Progress("analysing", len(paths)) as progress:
        for path, found in analyse_many(paths, wishes):
            if isinstance(found, Exception):
                progress.clear()
                report(_hinted(found))
            else:
                results.append((path, found.result))
            progress.step()
    return results


def _hinted(problem: Exception) -> Exception:
    """The problem of a file; where the person must choose a column or sheet, with the options to do it."""
    from analysis.tables.read import TableError

    text = str(problem)
    if isinstance(problem, TableError) and ("ay which" in text or "does not say its unit" in text):
        return CommandError(f"{text.rstrip('.')}; --force, --extension, --time and --sheet are there for that.")
    return problem


def _say(results: list[PullResult]) -> None:
    from tui.result_text import say_curve, say_result

    for number, result in enumerate(results):
        if number:
            say()
        if len(results) == 1:
            say_curve(result)
        say_result(result)
