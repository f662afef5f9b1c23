"""Text from boards and files made fit for a screen: no control codes, no escape sequences, no markup.

Names, notes and column titles come from devices and from other people's files. Everything of that kind goes
through `clean` before it is printed, and through `for_markup` before it stands inside marked-up text.
"""

from __future__ import annotations

import re
import unicodedata

#: Longest foreign text shown in one place [characters]; more than that hides what stands beside it.
LONGEST_SHOWN = 120

#: What stands for the part that was left out.
ELLIPSIS = "…"

#: Marks (accents) kept on one letter: two are enough for every living script, more is a tower over the lines.
MOST_MARKS = 2

#: Terminal sequences of ECMA-48: control sequences, strings ended by BEL or ST, and two-byte escapes.
_ESCAPE_SEQUENCE = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]?"
    r"|(?:\x1b[\]PX^_]|[\x9d\x90\x98\x9e\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)?"
    r"|\x1b[ -/]*[0-~]?"
)

#: Unicode categories that have no picture of their own or change how others are drawn (direction overrides).
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})


def clean(text: str, longest: int = LONGEST_SHOWN) -> str:
    """One line of printable characters, at most `longest`, with everything that could steer a screen taken out."""
    kept: list[str] = []
    marks = 0
    for char in " ".join(_ESCAPE_SEQUENCE.sub("", text[: 20 * longest]).split()):
        category = unicodedata.category(char)
        marks = marks + 1 if category in {"Mn", "Me"} else 0
        if category not in _UNSEEN and marks <= MOST_MARKS:
            kept.append(char)
    line = " ".join("".join(kept).split())
    return line if len(line) <= longest else line[: longest - 1] + ELLIPSIS


def for_markup(text: str, longest: int = LONGEST_SHOWN) -> str:
    """`clean` text that stands as itself inside marked-up text, whatever brackets it holds."""
    line = clean(text, longest).replace("[", r"\[")
    return line + " " if line.endswith("\\") else line
