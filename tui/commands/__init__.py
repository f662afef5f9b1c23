"""One module per command of the command line.

A module has `add_parser(subparsers)`, which adds the command with `tui.arguments.add_command`, and
`run(args) -> int`, whose number is the exit status. Nothing heavy is imported at the top of such a module:
`--help` must answer at once. A new command is one more name here.
"""

from __future__ import annotations

#: Module names, in the order in which `strandbench --help` lists them.
COMMANDS = (
    "demo",
    "simulate",
    "calibrate",
    "thickness",
    "pull",
    "analyse",
    "compare",
    "explain",
    "study",
    "card",
    "export",
    "show",
    "serve",
    "guesses",
    "checkup",
    "verify",
    "ports",
    "decode",
)
