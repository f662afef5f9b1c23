"""Students' guesses by finger, kept: what each said before a pull, and what the rig measured after it.

A round is what a class guesses about one strand. Guesses and outcomes are logs that only grow; what was typed
wrongly is followed by what is right. A student is a code, never a name. Knows no widgets.
"""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from tui import wording_guesses as wording
from tui.store.logs import append, read_log
from tui.strand_form import number

#: Names of the two logs.
GUESSES, OUTCOMES = "guesses", "guess-outcomes"

#: A code: initials or a pseudonym, so short that no name is tempted into it.
CODE = re.compile(r"[^\W_][\w.-]{0,5}")

#: A guess above this is no stretch of a strand [%].
MOST_PCT = 200.0

#: Guesses older than this belong to no pull to come.
STALE = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Guess:
    """What one student guessed about one strand [% of stretch at the break]; None takes it back."""

    round: str
    when: datetime
    student: str
    guess_pct: float | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the rig measured of that strand: the elongation at break, and its standard uncertainty."""

    round: str
    when: datetime
    #: Path of the recording, as it was then.
    recording: str
    measured_pct: float
    u_pct: float

    @property
    def file(self) -> str:
        """The recording's own name."""
        return re.split(r"[/\\]", self.recording)[-1]


@dataclass(frozen=True, slots=True)
class Round:
    """The guesses about one strand that count, in the order in which they were first given, and the outcome."""

    name: str
    started: datetime
    guesses: tuple[Guess, ...]
    outcome: Outcome | None = None


@dataclass(frozen=True, slots=True)
class Book:
    """All rounds, oldest first; `problem` is a sentence where something in the logs could not be understood."""

    rounds: tuple[Round, ...]
    problem: str = ""

    def open_round(self, now: datetime) -> Round | None:
        """The round that is waiting for its pull."""
        for one in reversed(self.rounds):
            if one.outcome is None and one.guesses and now - one.guesses[-1].when < STALE:
                return one
        return None

    def round_named(self, name: str) -> Round | None:
        """A round by its name."""
        return next((one for one in self.rounds if one.name == name), None)


def read_book() -> Book:
    """All that was guessed and measured. Raises StoreProblem where a log can't be read."""
    guessed, measured = read_log(GUESSES, Guess), read_log(OUTCOMES, Outcome)
    outcomes = {outcome.round: outcome for outcome in measured.entries}
    rounds: dict[str, list[Guess]] = {}
    for guess in guessed.entries:
        rounds.setdefault(guess.round, []).append(guess)
    made = [
        Round(name, guesses[0].when, _that_count(guesses), outcomes.get(name)) for name, guesses in rounds.items()
    ]
    made.sort(key=lambda one: one.started)
    return Book(tuple(made), " ".join(filter(None, (guessed.problem, measured.problem))))


def _that_count(guesses: list[Guess]) -> tuple[Guess, ...]:
    """The last one of each student, without those that were taken back."""
    last: dict[str, Guess] = {}
    for guess in guesses:
        last[guess.student] = guess
    return tuple(guess for guess in last.values() if guess.guess_pct is not None)


def new_round(now: datetime) -> str:
    """A name for a round, which no other has."""
    return f"{now:%Y-%m-%d-%H%M%S}-{secrets.token_hex(2)}"


def keep_guess(round_name: str, student: str, guess_pct: float | None, now: datetime) -> None:
    """Write a guess down; None takes the student's guess back. Raises StoreProblem."""
    append(GUESSES, Guess(round_name, now, student, guess_pct))


def keep_outcome(outcome: Outcome) -> None:
    """Write down what was measured. Raises StoreProblem."""
    append(OUTCOMES, outcome)


@dataclass(frozen=True, slots=True)
class Typed:
    """What a line of typing says: a student and a guess, or what is wrong with it."""

    student: str = ""
    guess_pct: float | None = None
    problem: str = ""


def understood(text: str) -> Typed:
    """A typed line such as "K7 35" or "k7: 35,5 %"; a code alone takes that student's guess back."""
    words = text.replace(":", " ").replace("%", " ").split()
    if not words:
        return Typed(problem=wording.NOTHING_TYPED)
    if len(words) > 2 or not CODE.fullmatch(words[0]) or words[0].isdecimal():
        return Typed(problem=wording.CODE_WANTED)
    student = words[0].upper()
    if len(words) == 1:
        return Typed(student)
    guess = number(words[1])
    if guess is None or not 0.0 < guess <= MOST_PCT:
        return Typed(problem=wording.GUESS_WANTED.format(most=MOST_PCT))
    return Typed(student, guess)
