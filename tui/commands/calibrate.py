"""`strandbench calibrate`: where the newtons and millimetres come from. Each kind lives in `tui.calibrating`."""

from __future__ import annotations

import argparse
from typing import Any

from tui.arguments import Parser, Subparsers, add_command
from tui.calibrating import check, extension, force, give, listing

SUMMARY = "calibrate a rig and check it every day"

PURPOSE = """
Calibrate a rig, and check it before the day's first strand. A calibration is a file with its date, the person's
code, what was read and how sure it is; pulls use the newest of their board and carry it in their recording.

Each kind explains itself, such as `strandbench calibrate force --help`."""

EXAMPLES = """
strandbench calibrate force --port /dev/ttyUSB0 --weights 10,20,50,100 --latitude 51.5 --height 30
strandbench calibrate extension --port /dev/ttyUSB0 --positions-mm 0,1,2,5,10
strandbench calibrate check --port /dev/ttyUSB0 --weight 100
strandbench calibrate list"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command and its kinds."""
    parser = add_command(
        subparsers, "calibrate", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes="KIND [options]"
    )
    kinds = parser.add_subparsers(
        title="kinds", metavar="KIND", parser_class=Parser, required=True, prog=parser.prog
    )
    for kind in (force, extension, give, check, listing):
        kind.add_parser(kinds)


def run(args: argparse.Namespace) -> int:
    """Never reached: every kind has a `run` of its own."""
    raise AssertionError(args)
