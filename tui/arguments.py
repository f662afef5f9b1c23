"""What all commands' arguments share: a parser that complains in one sentence, and numbers with a sane range."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable
from typing import Any, NoReturn

from tui.failure import LONGEST_SENTENCE, USAGE
from tui.output import complain
from tui.safe_text import clean
from tui.text_width import wrapped

#: Heads the examples at the end of a command's help.
EXAMPLES = "examples:"

#: Columns that the indented name of a command takes at most.
LONGEST_NAME = 13

#: The action that `add_subparsers` gives; commands add themselves to it.
Subparsers = argparse._SubParsersAction


class Formatter(argparse.HelpFormatter):
    """Folds purposes to the width of the terminal; examples stay line by line as they are."""

    def __init__(self, prog: str, **options: Any) -> None:  # noqa: ANN401 - passed on as they are
        super().__init__(prog, **options)
        # argparse forgets that the names of commands are indented: without this the longest has a line of its own.
        self._action_max_length = LONGEST_NAME

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        paragraphs = text.strip().split("\n\n")
        return "\n\n".join(p if p.startswith(EXAMPLES) else wrapped(" ".join(p.split()), 0) for p in paragraphs)


class Parser(argparse.ArgumentParser):
    """An argument parser whose complaint is one sentence that says where to look."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401 - passed on as they are
        options.setdefault("formatter_class", Formatter)
        options.setdefault("allow_abbrev", False)
        super().__init__(**options)

    def error(self, message: str) -> NoReturn:
        """Complain in one sentence and exit."""
        sentence = clean(message, LONGEST_SENTENCE).removeprefix("argument ").rstrip(".")
        complain(f"{sentence}; `{self.prog} --help` shows how.")
        raise SystemExit(USAGE)


def add_command(
    subparsers: Subparsers[Any],
    name: str,
    run: Callable[[argparse.Namespace], int],
    *,
    summary: str,
    purpose: str,
    examples: str,
    takes: str | None = None,
) -> Parser:
    """Add one command: its line in the list of commands, its purpose in plain words, and examples.

    `takes` is a short form of its arguments, for a command with so many options that all of them confuse.
    """
    parser: Parser = subparsers.add_parser(
        name, help=summary, description=purpose, epilog=f"{EXAMPLES}\n{_indented(examples)}"
    )
    if takes is not None:
        parser.usage = f"{parser.prog} {takes}"
    parser.set_defaults(run=run)
    return parser


def _indented(text: str) -> str:
    return "\n".join(f"  {line}".rstrip() for line in text.strip().splitlines())


def number(low: float, high: float, unit: str) -> Callable[[str], float]:
    """A converter for argparse: a number in [low, high]; a decimal comma is as good as a point."""

    def convert(text: str) -> float:
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            unit_text = f" {unit}" if unit else ""
            raise argparse.ArgumentTypeError(
                f"{clean(text)!r} must be a number between {low:g} and {high:g}{unit_text}"
            )
        return value

    return convert


guideline_pct = number(1, 200, "%")


def measure(text: str) -> float:
    """A converter for argparse: any finite number; whether it can be meant is said where it is used."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"{clean(text)!r} must be a number, such as 30 or 30.5")
    return value


def whole(low: int, high: int) -> Callable[[str], int]:
    """A converter for argparse: a whole number in [low, high]."""

    def convert(text: str) -> int:
        try:
            value = int(text)
        except ValueError:
            value = low - 1
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(f"{clean(text)!r} must be a whole number between {low} and {high}")
        return value

    return convert


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add `--json`."""
    parser.add_argument("--json", action="store_true", help="print the result as JSON, for other programs")
