"""`strandbench checkup`: ten seconds with a connected rig, and what each figure means."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json, number, whole
from tui.checkup_text import SIGNS, headline, what_to_do, widest
from tui.consent import get_consent, show_cautions
from tui.failure import DONE, NOT_DONE
from tui.output import note, paint, say, say_json
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    from rig.findings import Finding

SUMMARY = "check a connected rig in ten seconds"

PURPOSE = """
Check a connected rig with nothing in its clamps: the rate of readings against what the board promises, noise,
drift, glitches, gaps, how long answers take, both clocks; then a there-and-back of 5 mm that shows lost steps.
Each figure comes with what a bad one means and what to do.

While it listens, press the emergency stop and the limit switches once each to see them noticed: after that
nothing is moved in this check. With --still the stage never moves. The exit status is 0 only where nothing is
bad."""

EXAMPLES = """
strandbench checkup --port /dev/ttyUSB0
strandbench checkup --port COM3 --still
strandbench checkup --port tcp://127.0.0.1:5555 --json"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "--port URL [options]"
    parser = add_command(
        subparsers, "checkup", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes
    )
    parser.add_argument(
        "--port", required=True, metavar="URL", help="where the rig is: a device name, or tcp://HOST:PORT"
    )
    parser.add_argument(
        "--baud", type=whole(300, 4_000_000), default=250_000, help="line speed of a serial port (default 250000)"
    )
    parser.add_argument("--still", action="store_true", help="do not move the stage")
    parser.add_argument(
        "--listen-s", type=number(1, 600, "s"), default=6.0, metavar="S", help="how long to listen (default 6 s)"
    )
    parser.add_argument(
        "--yes", action="store_true", help="everyone has read the cautions and the stage is clear: do not ask"
    )
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Check; 0 only where nothing was found to be bad."""
    from rig.checkup import run_checkup
    from rig.connect import connect
    from rig.findings import Grade

    note(f"Connecting to {clean(args.port)} …")
    with connect(args.port, args.baud) as stretcher:
        if not args.still:
            show_cautions(simulated=stretcher.facts.simulated)
            get_consent(agreed=args.yes or stretcher.facts.simulated)
        found = run_checkup(
            stretcher, move=not args.still, progress=lambda text: note(f"- {text}"), listen_s=args.listen_s
        )
    if args.json:
        say_json([_as_json(finding) for finding in found], as_list=True)
    else:
        _say(found)
    return NOT_DONE if any(finding.grade is Grade.BAD for finding in found) else DONE


def _as_json(finding: Finding) -> dict[str, Any]:
    return {
        "name": finding.name,
        "value": finding.value,
        "unit": finding.unit,
        "grade": finding.grade.value,
        "meaning": finding.meaning,
        "advice": finding.advice,
    }


def _say(found: tuple[Finding, ...]) -> None:
    wide = widest(found)
    for finding in found:
        say(paint(headline(finding, wide), SIGNS[finding.grade.value][1], sys.stdout))
        if advice := what_to_do(finding):
            say(wrapped(advice, indent=4))
