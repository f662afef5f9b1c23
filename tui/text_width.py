"""Sentences folded to the width of the terminal."""

from __future__ import annotations

import shutil
import textwrap

#: Narrowest and widest text [columns]; wider lines are hard to follow.
NARROWEST, WIDEST = 40, 100


def text_width() -> int:
    """Columns that text may take."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns))


def wrapped(text: str, indent: int = 2, hang: int = 0) -> str:
    """A sentence as lines, indented; lines after the first by `hang` more."""
    lead = " " * indent
    return textwrap.fill(text, text_width(), initial_indent=lead, subsequent_indent=lead + " " * hang)
