"""The kinds of pull as a person names and chooses them on the command line, and what each of them is for."""

from __future__ import annotations

import argparse

from tui.arguments import measure
from tui.failure import USAGE, CommandError

#: Kinds of a pull as they are typed, and as the recording names them.
KINDS = {"break": "pull_to_break", "proof": "proof", "stretch-return": "stretch_return", "hold": "hold"}

ABOUT_KINDS = """
There are four kinds of pull (--kind). All but the first take up the slack, stretch the strand by a share of its
length and move back, so that the strand is kept; if it breaks on the way, the motor stops there.

break: until the strand breaks. It shows how far it stretches, how strong and how stiff it is. The strand is gone.

proof: to the guideline (20 % of its length unless told otherwise) and no further, then back. It shows that the
strand stretches at least that far, and keeps it for what comes next.

stretch-return: the test between two fingers with numbers: stretched, held for a moment, let back, left to rest,
then stretched a little again to see where it becomes taut. It shows how much of the stretch comes back, at once and
with time, and how much of the work is lost.

hold: stretched and held there. The force falls by itself as the strand gives way inside; it shows how much is lost
and how long half of that takes.

For one strand before and after a treatment, proof it before, let it rest a night in water, do to it what is to be
tried, dry it as before, proof it again, and put both recordings into `strandbench compare --before FILE --after
FILE`."""


def add_kind_options(group: argparse._ArgumentGroup) -> None:
    """Add what a kind of pull takes."""
    group.add_argument("--kind", choices=tuple(KINDS), default="break", help="what is done with the strand")
    group.add_argument(
        "--to-pct", type=measure, metavar="PCT", help="stretch by this share of the length (default 20)"
    )
    group.add_argument(
        "--hold-s", type=measure, metavar="S", help="hold it so long (default: hold 60, stretch-return 5)"
    )
    group.add_argument(
        "--rest-s", type=measure, metavar="S", help="let it rest so long before it is stretched again (default 120)"
    )


def check_kind(args: argparse.Namespace) -> None:
    """Raises CommandError where the kind of pull can't be had so."""
    if args.lines and args.kind != "break":
        raise CommandError(
            "A board that only prints lines is moved by hand, so this program can't stretch and return: leave out "
            f"--lines, or --kind {args.kind}.",
            USAGE,
        )
