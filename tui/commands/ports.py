"""`strandbench ports`: which serial ports this computer has."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from tui.arguments import Subparsers, add_command, add_json
from tui.failure import DONE
from tui.output import say, say_json
from tui.safe_text import clean

PURPOSE = """
List the serial ports of this computer.
Plug the rig in, run this, and give the name it shows to `strandbench pull --port`."""

EXAMPLES = """
strandbench ports
strandbench ports --json"""

NONE_FOUND = (
    "This computer has no serial port now. Plug the rig in and run this again, or try the simulated rig: "
    "strandbench simulate"
)


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    summary = "list the ports a rig may be plugged into"
    parser = add_command(subparsers, "ports", run, summary=summary, purpose=PURPOSE, examples=EXAMPLES)
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Print the ports."""
    from rig.serial_link import list_ports

    ports = list_ports()
    if args.json:
        say_json([asdict(port) for port in ports], as_list=True)
    elif not ports:
        say(NONE_FOUND)
    for port in ports if not args.json else ():
        say(f"{clean(port.device)}  {clean(port.description)}".rstrip())
    return DONE
