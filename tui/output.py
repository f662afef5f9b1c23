"""How the command line speaks: results on stdout, everything else on stderr, readable on any terminal.

Colour only on a terminal that wants it and never alone; signs that an encoding lacks are replaced by plain ones.
"""

from __future__ import annotations

import codecs
import json
import os
import sys
from typing import Any, Self, TextIO

PROGRAM = "strandbench"

#: What is printed instead of a sign that the terminal's or file's encoding does not have.
PLAIN_SIGNS = {
    "✔": "+", "✘": "x", "≈": "~", "·": "-", "•": "*", "…": "...", "–": "-", "—": "-", "→": "->",
    "│": "|", "█": "#", "▌": "=", "µ": "u", "²": "2", "³": "3", "±": "+-", "×": "x", "°": " deg", "’": "'",
    "≥": ">=", "≤": "<=",
}  # fmt: skip

#: Colours by what they are for; each stands beside a word and a sign that say the same.
COLOURS = {"good": "32", "bad": "31", "unsure": "33", "quiet": "2", "strong": "1"}

_ERROR_HANDLER = "strandbench_plain_signs"


def _plain_signs(error: UnicodeError) -> tuple[str, int]:
    """Encoding error handler: the plain sign, or a question mark."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lost = error.object[error.start : error.end]
    return "".join(PLAIN_SIGNS.get(char, "?") for char in lost), error.end


def prepare_streams() -> None:
    """Let stdout and stderr replace what their encoding cannot show, rather than fail on it."""
    codecs.register_error(_ERROR_HANDLER, _plain_signs)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=_ERROR_HANDLER)


def is_terminal(stream: TextIO | None) -> bool:
    """Whether a person looks at (or types into) this stream."""
    try:
        return stream is not None and stream.isatty()
    except ValueError:
        return False


def wants_colour(stream: TextIO) -> bool:
    """Colour is for terminals whose owner has not said NO_COLOR and that understand it."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or not is_terminal(stream):
        return False
    return sys.platform != "win32" or "WT_SESSION" in os.environ


def paint(text: str, colour: str, stream: TextIO) -> str:
    """`text` in one of `COLOURS` where `stream` wants colour, unchanged elsewhere."""
    return f"\x1b[{COLOURS[colour]}m{text}\x1b[0m" if wants_colour(stream) else text


def say(text: str = "") -> None:
    """One line of a result, on stdout."""
    sys.stdout.write(text + "\n")


def note(text: str = "") -> None:
    """One line beside the result (progress, cautions), on stderr, at once."""
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def complain(text: str) -> None:
    """Why it was not done and what to do, on stderr, in one sentence."""
    note(f"{PROGRAM}: {text}")


def say_json(objects: list[dict[str, Any]], *, as_list: bool) -> None:
    """One object, or a list, as JSON on stdout. Never NaN: it is not JSON."""
    value: object = objects if as_list else objects[0]
    say(json.dumps(value, indent=2, allow_nan=False))


class Progress:
    """How far long work has come, on one line of stderr that goes away; nothing where nobody looks."""

    def __init__(self, what: str, total: int) -> None:
        self._what, self._total, self._done = what, total, 0
        self._shown = total > 1 and is_terminal(sys.stderr)

    def __enter__(self) -> Self:
        self._show()
        return self

    def __exit__(self, *_: object) -> None:
        self.clear()

    def step(self) -> None:
        """One more is done."""
        self._done += 1
        self._show()

    def clear(self) -> None:
        """Take the line away, before something else is said."""
        if self._shown:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()

    def _show(self) -> None:
        if self._shown:
            sys.stderr.write(f"\r{self._what} {self._done} of {self._total} …")
            sys.stderr.flush()
