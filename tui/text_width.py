"""Sentences folded to the width of the terminal."""

from __future__ import annotations

import re
import shutil
import textwrap

#: Narrowest and widest text [columns]; wider lines are hard to follow.
NARROWEST, WIDEST = 40, 100


#: The space between a number and its unit, at which no line is broken.
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|[mµ]?[Nm]|s|um|GPa|MPa|Hz|±)(?!\w))|(?<=±) (?=\d)")
NO_BREAK = "\u00a0"


def text_width() -> int:
    """Columns that text may take."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns))


def tied(text: str) -> str:
    """The text with spaces at which no line is broken between numbers and their units."""
    return _BEFORE_UNIT.sub(NO_BREAK, text)


def wrapped(text: str, indent: int = 2, hang: int = 0) -> str:
    """A sentence as lines, indented; lines after the first by `hang` more."""
    lead = " " * indent
    folded = textwrap.fill(tied(text), text_width(), initial_indent=lead, subsequent_indent=lead + " " * hang)
    return folded.replace(NO_BREAK, " ")
