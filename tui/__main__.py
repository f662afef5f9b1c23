"""The entry of `strandbench`: arguments in, exit status out. Each command lives in `tui.commands`."""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Sequence
from typing import Any

from tui.arguments import Parser
from tui.commands import COMMANDS
from tui.failure import USAGE, guarded
from tui.output import PROGRAM, complain, is_terminal, prepare_streams, say

DESCRIPTION = """\
Stretch a strand of hair until it breaks, and read how far it went and how sure that is.

Without a command the app opens. Start with `strandbench demo`: it needs no rig."""

EPILOG = """\
Each command explains itself: `strandbench pull --help`.
This rig is not a medical or certified device, and one strand is one of several tests."""


class _Version(argparse.Action):
    """Print the version; looked up only when asked for."""

    def __call__(self, *_: Any) -> None:  # noqa: ANN401 - argparse's own signature
        from tui.version import version

        say(f"{PROGRAM} {version()}")
        raise SystemExit(0)


def build_parser() -> Parser:
    """The whole command line."""
    parser = Parser(prog=PROGRAM, description=DESCRIPTION, epilog=EPILOG)
    parser.add_argument("--version", action=_Version, nargs=0, help="print the version and stop")
    subparsers = parser.add_subparsers(title="commands", metavar="COMMAND", parser_class=Parser)
    for name in COMMANDS:
        importlib.import_module(f"tui.commands.{name}").add_parser(subparsers)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line; the exit status."""
    prepare_streams()
    return guarded(lambda: _run(argv))


def _run(argv: Sequence[str] | None) -> int:
    if not (sys.argv[1:] if argv is None else argv):
        return _open_app()
    args = build_parser().parse_args(argv)
    status: int = args.run(args) if hasattr(args, "run") else _open_app()
    return status


def _open_app() -> int:
    """The app, where there is a terminal to open it in."""
    if not (is_terminal(sys.stdin) and is_terminal(sys.stdout)):
        complain("The app needs a terminal; `strandbench --help` lists the commands that work without one.")
        return USAGE
    from tui.opening import open_app

    return open_app()


if __name__ == "__main__":
    sys.exit(main())
