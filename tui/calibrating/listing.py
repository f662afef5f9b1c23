"""`strandbench calibrate list`: the calibrations that are kept, and the last check of each board."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json
from tui.calibrating import keeping
from tui.failure import DONE, LONGEST_SENTENCE, NOT_DONE, report
from tui.output import say, say_json
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    from recordings.format import JsonValue
    from rig.calibration_shelf import Stored

SUMMARY = "list the calibrations that are kept, and when they are due"

PURPOSE = """
List the calibrations kept on this computer: of which board, of what, made when and by whom, and due when. The last
one of a kind is the one that pulls use. The last daily check of each board stands below."""

EXAMPLES = """
strandbench calibrate list
strandbench calibrate list --board 5b000001 --json"""


def add_parser(kinds: Subparsers[Any]) -> None:
    """Add the kind."""
    parser = add_command(kinds, "list", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES)
    parser.add_argument("--board", type=keeping.board_number, metavar="NUMBER", help="only those of this board")
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Print what is kept; 0 unless a file can't be read."""
    from rig.calibration_shelf import stored

    found, problems = stored(args.board)
    if args.json:
        say_json([_json(one) for one in found], as_list=True)
    elif found:
        _say(found)
    else:
        say("No calibration is kept here yet: strandbench calibrate force --help shows how to make one.")
    for problem in problems:
        report(problem)
    return NOT_DONE if problems else DONE


def _json(one: Stored) -> dict[str, Any]:
    return {
        "file": str(one.path),
        "what": one.what,
        "board_id": one.board_id,
        "overdue": _overdue(one),
        "calibration": asdict(one.calibration),
    }


def _say(found: list[Stored]) -> None:
    from rig.calibration_shelf import checks_of

    for one in found:
        made = one.calibration
        board = keeping.Board(one.board_id).text
        due = f"due {made.due}" if made.due else "no due date"
        person = f", by {clean(made.person)}" if made.person else ""
        late = "  ! overdue" if _overdue(one) else ""
        say(f"{board}  {one.what:9}  {made.date or 'undated':10}  {clean(made.kind)}{person}, {due}{late}")
        say(f"    {clean(str(one.path), 400)}")
    for board_id in sorted({one.board_id for one in found if one.board_id is not None}):
        for check in checks_of(board_id)[-1:]:
            say(f"board {board_id:08x}  last check {clean(str(check.get('when', '')))}")
            for sentence in _sentences(check.get("checks")):
                say(wrapped(sentence, indent=4, hang=2))


def _sentences(checks: JsonValue) -> list[str]:
    """What a logged check said, as far as the log can be read."""
    found = checks if isinstance(checks, list) else []
    return [clean(str(one.get("sentence", "")), LONGEST_SENTENCE) for one in found if isinstance(one, dict)]


def _overdue(one: Stored) -> bool:
    try:
        return date.fromisoformat(one.calibration.due) < date.today()
    except ValueError:
        return False
