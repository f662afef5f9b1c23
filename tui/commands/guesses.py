"""`strandbench guesses`: students' guesses and how far off they were, as a table, CSV or JSON."""

from __future__ import annotations

import argparse
import csv
import sys
from typing import TYPE_CHECKING, Any

from tui import wording_guesses as wording
from tui.arguments import Subparsers, add_command, add_json
from tui.failure import DONE, CommandError
from tui.output import note, say, say_json
from tui.safe_text import clean

if TYPE_CHECKING:
    from tui.classroom.guesses import Guess, Round
    from tui.classroom.scores import Term

SUMMARY = "print students' guesses and how far off they were"

PURPOSE = """
Print what students guessed by finger before each pull, what the rig measured, and how far off they were; then,
over the term, whether they come closer: mean difference (bias), limits of agreement, and the change from session
to session. Students stand there as the codes they were typed in with."""

EXAMPLES = """
strandbench guesses
strandbench guesses --csv
strandbench guesses --json"""

#: Columns of the CSV: one line a guess, with its unit in the name.
COLUMNS = ("when", "round", "student", "guess_pct", "recording", "measured_pct", "u_measured_pct", "off_pct")


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    parser = add_command(subparsers, "guesses", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES)
    parser.add_argument("--csv", action="store_true", help="print one line a guess, for a spreadsheet")
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Print what is kept."""
    from tui.classroom.guesses import read_book
    from tui.classroom.scores import terms_of, whole_class

    if args.csv and args.json:
        raise CommandError("Ask for --csv or for --json, not for both.")
    book = read_book()
    if book.problem:
        note(book.problem)
    if args.csv:
        _print_csv(book.rounds)
        return DONE
    together = whole_class(book.rounds)
    terms = [*terms_of(book.rounds), *([together] if together else [])]
    if args.json:
        say_json(
            [{"rounds": [*map(_round_json, book.rounds)], "students": [*map(_term_json, terms)]}], as_list=False
        )
    else:
        _print_tables(book.rounds, terms)
    return DONE


def _rows(rounds: tuple[Round, ...]) -> list[tuple[object, ...]]:
    rows: list[tuple[object, ...]] = []
    for one in rounds:
        outcome = one.outcome
        for guess in one.guesses:
            found: tuple[object, ...] = ("", "", "", "")
            if outcome is not None:
                found = (clean(outcome.file), outcome.measured_pct, outcome.u_pct, _off(one, guess))
            when = guess.when.isoformat(timespec="seconds")
            rows.append((when, one.name, clean(guess.student), guess.guess_pct, *found))
    return rows


def _off(one: Round, guess: Guess) -> float | None:
    """Guess minus measurement, where there are both."""
    if one.outcome is None or guess.guess_pct is None:
        return None
    return guess.guess_pct - one.outcome.measured_pct


def _print_csv(rounds: tuple[Round, ...]) -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(_rows(rounds))


def _round_json(one: Round) -> dict[str, Any]:
    outcome = one.outcome
    return {
        "round": one.name,
        "started": one.started.isoformat(),
        "recording": clean(outcome.file) if outcome else None,
        "measured_pct": {"value": outcome.measured_pct, "u": outcome.u_pct} if outcome else None,
        "guesses": [
            {"student": clean(guess.student), "guess_pct": guess.guess_pct, "off_pct": _off(one, guess)}
            for guess in one.guesses
        ],
    }


def _term_json(term: Term) -> dict[str, Any]:
    from analysis.series.as_json import as_json

    return {
        "student": term.student or None,
        "guesses": len(term.scores),
        "mean_off_pct": term.mean_off_pct,
        "mean_distance_per_session_pct": list(term.per_session),
        "agreement": as_json(term.agreement),
        "trend": as_json(term.trend),
    }


def _print_tables(rounds: tuple[Round, ...], terms: list[Term]) -> None:
    from tui.classroom.score_rows import term_lines

    if not rounds:
        note(wording.CLI_NONE)
    for one in rounds:
        _print_round(one)
        say()
    if terms:
        say(wording.CLI_TERM)
    for line in term_lines(terms) if terms else []:
        say(f" {line}")


def _print_round(one: Round) -> None:
    from tui.classroom.score_rows import off_text
    from tui.classroom.scores import scores_of

    when, outcome = f"{one.started:%Y-%m-%d %H:%M}", one.outcome
    if outcome is None:
        say(wording.CLI_OPEN.format(when=when))
        for guess in one.guesses:
            say(f"  {clean(guess.student):<6}  {guess.guess_pct:6.1f} %")
        return
    say(wording.CLI_ROUND.format(when=when, recording=clean(outcome.file), measured=outcome.measured_pct))
    for score in scores_of(one):
        say(f"  {clean(score.student):<6}  {score.guess_pct:6.1f} %   {off_text(score.off_pct)}")
