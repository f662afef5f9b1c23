"""`strandbench show`: recordings played in the app, or their curves as text where there is no terminal."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from tui.arguments import Subparsers, add_command
from tui.failure import DONE, NOT_DONE, report
from tui.files import expanded
from tui.output import is_terminal, say

SUMMARY = "play recordings on the screen, one or several in step"

PURPOSE = """
Play recordings for a class: huge readouts, the curve growing at any speed, the regions named as they are passed,
the moment of break marked. Several recordings go in step, overlaid or side by side; three and more of one history
are shown as a group.

Without a terminal the curves are printed as text."""

EXAMPLES = """
strandbench show pulls/2026-11-25_head-A.pull.csv
strandbench show healthy.pull.csv lightened.pull.csv
strandbench show pulls/*.pull.csv"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    parser = add_command(subparsers, "show", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES)
    parser.add_argument("files", nargs="+", metavar="FILE", help="recordings to play")


def run(args: argparse.Namespace) -> int:
    """Open the app on the recordings, or print them."""
    paths = expanded(args.files)
    if is_terminal(sys.stdin) and is_terminal(sys.stdout):
        from tui.app import run_app

        return run_app(show=tuple(paths))
    return _print(paths)


def _print(paths: list[Path]) -> int:
    """The curves as text; 0 only when every file gave one."""
    from tui.analysing import analyse_with_strand
    from tui.classroom.series import names_of
    from tui.curve_text import curve_lines, curves_lines
    from tui.shown_result import title_of

    found = []
    for path in paths:
        try:
            found.append((path, analyse_with_strand(path)))
        except Exception as problem:
            report(problem)
    if len(found) == 1:
        path, analysed = found[0]
        say(title_of(analysed.specimen, path))
        lines = curve_lines(analysed.result)
    else:
        names = names_of([(path, analysed.specimen) for path, analysed in found])
        lines = curves_lines([analysed.result for _, analysed in found], names) if found else []
    for line in lines:
        say(line)
    return DONE if len(found) == len(paths) else NOT_DONE
