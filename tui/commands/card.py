"""`strandbench card`: the card of tests before a chemical service, with or without a rig."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Parser, Subparsers, add_command, add_json
from tui.failure import DONE, USAGE, CommandError
from tui.output import complain, note, say, say_json
from tui.safe_text import clean

if TYPE_CHECKING:
    from tui.check.card import Card
    from tui.reports.paper import Paper

SUMMARY = "keep the card of tests before a chemical service"

PURPOSE = """
Keep a client's card: porosity, elasticity, incompatibility and skin test, each with its outcome, date and who
did it, and what is still open or has expired. Timed tests go on while the program is off. Clients are codes,
never names.

The card never decides whether a service may go ahead: the manufacturer's instructions and licensed practice do."""

EXAMPLES = """
strandbench card new HK-204 --by B7 --history "lightened twice"
strandbench card start HK-204 skin --by B7 --product "Colour 7/1"
strandbench card record HK-204 porosity porous --by B7
strandbench card show HK-204
strandbench card list
strandbench card export HK-204 --pdf card.pdf --html card.html --json card.json"""

#: Names of the tests on the command line; those with a timer.
TESTS = ("porosity", "elasticity", "incompatibility", "skin")
TIMED = ("incompatibility", "skin")


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command and what it can do."""
    parser = add_command(subparsers, "card", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES)
    doing = parser.add_subparsers(title="what to do", metavar="WHAT", required=True, parser_class=Parser)
    new = _add(doing, "new", _new, "open a card", reference=True, by=True)
    new.add_argument("--history", default="", metavar="TEXT", help="what the hair went through")
    listing = _add(doing, "list", _list, "list the cards")
    add_json(listing)
    show = _add(doing, "show", _show, "print a card as it stands now", reference=True)
    add_json(show)
    start = _add(doing, "start", _start, "start a timed test", reference=True, by=True)
    start.add_argument("test", choices=TIMED, help="the test")
    start.add_argument("--product", default="", metavar="TEXT", help="the product to be used, for the skin test")
    start.add_argument("--again", action="store_true", help="start anew, with a fresh one, what is running already")
    record = _add(doing, "record", _record, "record what a test showed", reference=True, by=True)
    record.add_argument("test", choices=TESTS, help="the test")
    record.add_argument(
        "outcome", metavar="OUTCOME", help="such as good, none, redness; a wrong one lists them all"
    )
    export = _add(doing, "export", _export, "write the page of a card", reference=True)
    for ending in ("pdf", "html", "json"):
        export.add_argument(f"--{ending}", type=Path, metavar="FILE", help=f"write it as {ending.upper()}")


def _add(
    doing: Subparsers[Any],
    name: str,
    run_it: Callable[[argparse.Namespace], int],
    about: str,
    *,
    reference: bool = False,
    by: bool = False,
) -> Parser:
    parser: Parser = doing.add_parser(name, help=about, description=about)
    parser.set_defaults(run=run_it)
    if reference:
        parser.add_argument("reference", metavar="REFERENCE", help="the client's code, never a name")
    if by:
        parser.add_argument("--by", required=True, metavar="CODE", help="code of who does it")
    return parser


def run(args: argparse.Namespace) -> int:
    """Never reached with a whole command line: each thing to do has a function of its own."""
    raise CommandError("Say what to do with a card; `strandbench card --help` lists it.", USAGE)


def _new(args: argparse.Namespace) -> int:
    from tui import wording_card as words
    from tui.check.card import Card
    from tui.check.codes import person_problem, reference_problem
    from tui.check.shelf import keep
    from tui.check.times import now

    _refuse(reference_problem(args.reference), person_problem(args.by), _too_long("--history", args.history))
    keep(Card(clean(args.reference), now(), clean(args.by), clean(args.history)))
    say(words.CARD_OPENED.format(reference=clean(args.reference)))
    return DONE


def _list(args: argparse.Namespace) -> int:
    from tui import wording_card as words
    from tui.check.listed import card_line, card_object
    from tui.check.shelf import all_cards
    from tui.check.times import now

    shelf, moment = all_cards(), now()
    for problem in shelf.problems:
        complain(problem)
    if args.json:
        say_json([card_object(card, moment) for card in shelf.cards], as_list=True)
    elif not shelf.cards:
        note(words.CARD_NO_CARDS.format(example="HK-204", by="B7"))
    else:
        for card in shelf.cards:
            say(card_line(card, moment))
    return DONE


def _show(args: argparse.Namespace) -> int:
    paper = _paper(args.reference)
    if args.json:
        say_json([paper.plain()], as_list=False)
    else:
        from tui.card_text import say_page

        say_page(paper.page)
    return DONE


def _start(args: argparse.Namespace) -> int:
    from tui import wording_card as words
    from tui.check.card import Again, start
    from tui.check.codes import person_problem
    from tui.check.rules import RULES, Kind
    from tui.check.shelf import keep
    from tui.check.times import now, when

    _refuse(person_problem(args.by), _too_long("--product", args.product))
    kind, moment = Kind(args.test), now()
    again = Again.YES if args.again else Again.NO
    keep(start(_card(args.reference), kind, moment, clean(args.by), clean(args.product), again))
    readable = when(RULES[kind].readable_at(moment))
    say(words.TEST_STARTED.format(test=words.KINDS[kind.value], readable=readable))
    return DONE


def _record(args: argparse.Namespace) -> int:
    from tui import wording_card as words
    from tui.check.card import record
    from tui.check.codes import person_problem
    from tui.check.rules import BY_RIG, Kind
    from tui.check.shelf import keep
    from tui.check.standing import outcome_words
    from tui.check.times import now

    _refuse(person_problem(args.by))
    kind = Kind(args.test)
    if kind is Kind.ELASTICITY and args.outcome in BY_RIG:
        raise CommandError(words.TEST_BY_RIG)
    keep(record(_card(args.reference), kind, args.outcome, now(), clean(args.by)))
    outcome = outcome_words(kind, args.outcome)
    say(words.TEST_RECORDED.format(test=words.KINDS[kind.value], outcome=outcome))
    return DONE


def _export(args: argparse.Namespace) -> int:
    from tui import wording_card as words
    from tui.reports.paper import write_new

    wanted = [(ending, path) for ending in ("pdf", "html", "json") if (path := getattr(args, ending)) is not None]
    if not wanted:
        raise CommandError(words.CARD_NOTHING_TO_EXPORT, USAGE)
    paper = _paper(args.reference)
    forms = {"pdf": paper.pdf, "html": paper.html, "json": paper.json}
    for ending, path in wanted:
        write_new(path, forms[ending]())
        note(f"{ending.upper()}: {clean(str(path), 200)}")
    return DONE


def _refuse(*problems: str) -> None:
    """Raise CommandError for the first of the problems that is one."""
    for problem in filter(None, problems):
        raise CommandError(problem, USAGE)


def _too_long(what: str, text: str) -> str:
    """What is wrong with a text beside a code."""
    from tui import wording_card as words
    from tui.strand_form import LONGEST

    return words.TOO_LONG.format(what=what, longest=LONGEST) if len(text) > LONGEST else ""


def _card(reference: str) -> Card:
    """The newest card of a client. Raises CommandError where there is none."""
    from tui import wording_card as words
    from tui.check.shelf import newest_of

    card = newest_of(reference)
    if card is None:
        raise CommandError(words.CARD_NONE.format(reference=clean(reference)))
    return card


def _paper(reference: str) -> Paper:
    """Everything the page of a client's newest card says now."""
    from tui.check.times import now
    from tui.reports.paper import paper_of

    return paper_of(_card(reference), now())
