"""`strandbench verify`: is a recording whole, and is it as it was written?"""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json
from tui.failure import DONE, LONGEST_SENTENCE, NOT_DONE
from tui.files import expanded
from tui.output import complain, paint, say, say_json
from tui.safe_text import clean

if TYPE_CHECKING:
    from recordings.reader import Verification

PURPOSE = """
Check recordings: whether each is whole, and whether anything in it was changed after the pull.
Each file carries a checksum of itself, so that a result can be trusted years later."""

EXAMPLES = """
strandbench verify pulls/2026-11-25_head-A.pull.csv
strandbench verify pulls/*.pull.csv
strandbench verify --json pulls/*.pull.csv"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    summary = "check that recordings are whole and unchanged"
    parser = add_command(subparsers, "verify", run, summary=summary, purpose=PURPOSE, examples=EXAMPLES)
    parser.add_argument("files", nargs="+", metavar="FILE", help="recordings to check")
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Check each file; 0 only when nothing was found wrong with any."""
    from recordings.reader import verify_recording

    checked = [(path, verify_recording(path)) for path in expanded(args.files)]
    if args.json:
        objects = [{"recording": path.name, **asdict(found)} for path, found in checked]
        say_json(objects, as_list=len(objects) > 1)
    for path, found in checked:
        if not args.json and found.ok:
            _say_good(path, found)
        for problem in found.problems:
            complain(clean(problem, LONGEST_SENTENCE))
    return DONE if all(found.ok for _, found in checked) else NOT_DONE


def _say_good(path: Path, found: Verification) -> None:
    sign = paint("✔", "good", sys.stdout)
    say(f"{sign} {clean(path.name)}: whole and unchanged, {found.rows} readings")
