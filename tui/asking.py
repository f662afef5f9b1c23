"""Questions on the command line, asked only where a person sits at a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from typing import TypeVar

from tui.failure import CommandError
from tui.output import is_terminal

#: What takes the last step back, and what ends the whole.
BACK = "u"
QUIT = "q"

S = TypeVar("S")
R = TypeVar("R")


class Undo(Exception):
    """The person wants the last step taken back."""


def somebody_answers() -> bool:
    """Whether there is a terminal to type into."""
    return is_terminal(sys.stdin)


def ask(question: str) -> str:
    """Ask on stderr; the answer without spaces around it.

    Raises Undo for BACK, and CommandError for QUIT or where nobody answers any more.
    """
    sys.stderr.write(f"{question} ")
    sys.stderr.flush()
    line = sys.stdin.readline()
    answer = line.strip()
    if not line or answer.lower() == QUIT:
        raise CommandError("Given up before the end: nothing was kept. Start again when you are ready.")
    if answer.lower() == BACK:
        raise Undo
    return answer


def walk(steps: Sequence[S], take: Callable[[int, S], R]) -> list[R]:
    """Take one step after the other; a step that raises Undo takes the one before it back."""
    done: list[R] = []
    while len(done) < len(steps):
        number = len(done)
        try:
            done.append(take(number, steps[number]))
        except Undo:
            done = done[:-1]
    return done
