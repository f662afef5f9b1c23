"""`strandbench decode`: what was said on the wire, from captured bytes, as lines to read."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from tui.arguments import Subparsers, add_command
from tui.failure import DONE, CommandError
from tui.output import is_terminal, say

SUMMARY = "show captured bytes of the wire as lines to read"

PURPOSE = """
Show what a rig and this program said to each other, from a file of captured bytes: one line a message, with
whatever was damaged or is missing. For finding out why a rig does not do as it is told."""

EXAMPLES = """
strandbench decode capture.bin
strandbench decode -              # bytes that another program hands over"""

#: Bytes taken from a capture at most: hours of traffic, and no more than fits in memory twice.
MOST_BYTES = 256 * 1024 * 1024


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    parser = add_command(subparsers, "decode", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES)
    parser.add_argument("capture", metavar="CAPTURE", help="a file of captured bytes, or - for bytes handed over")


def run(args: argparse.Namespace) -> int:
    """Print the lines."""
    from firmware_protocol.dump import dump_lines

    data = _captured(args.capture)
    if not data:
        raise CommandError("There are no bytes in the capture: capture again while the rig is connected.")
    for line in dump_lines(data):
        say(line)
    return DONE


def _captured(name: str) -> bytes:
    if name == "-":
        if is_terminal(sys.stdin):
            raise CommandError("Bytes cannot be typed: name a file, or let another program hand them over.")
        return sys.stdin.buffer.read(MOST_BYTES)
    with Path(name).open("rb") as file:
        return file.read(MOST_BYTES)
