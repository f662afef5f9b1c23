"""`strandbench explain`: where the digits of one pull's result come from, and what would make them surer."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json, measure, whole
from tui.failure import DONE, USAGE, CommandError
from tui.format import label_of, plain, quantity_text, unit_of
from tui.output import say, say_json
from tui.safe_text import clean
from tui.text_width import wrapped
from tui.thickness import add_thickness_options, thickness_of

if TYPE_CHECKING:
    from analysis.budget import Budget
    from analysis.details import Detail
    from analysis.montecarlo import Simulated
    from analysis.study import Study

SUMMARY = "show where a result's digits come from"

PURPOSE = """
Show what stands behind the result of one pull: further measures (moduli, yield by other constructions, work and
force at 15 and 20 % stretch …) with their definitions, and for one quantity its uncertainty budget: every input,
the largest first, and what to do to make the result surer.

With --trials the uncertainty is checked: every input is drawn at random, the result is worked out each time, and
the spread is held against the one stated (JCGM 101)."""

EXAMPLES = """
strandbench explain pulls/2026-11-25_H12.pull.csv
strandbench explain --of initial_modulus_gpa --trials 100000 pulls/2026-11-25_H12.pull.csv
strandbench explain --json --gauge-length-mm 30 --diameter-um 68 table.csv"""

#: The quantity whose budget is shown unless another is asked for: the one that the verdict is about.
DEFAULT_OF = "elongation_at_break_pct"
#: Inputs with less than this share of the variance are told as one line [%].
SMALL_PCT = 0.5


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "[options] FILE"
    parser = add_command(
        subparsers, "explain", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="a recording or a table")
    parser.add_argument(
        "--of",
        default=DEFAULT_OF,
        metavar="QUANTITY",
        help=f"whose budget to show, as in JSON (default {DEFAULT_OF})",
    )
    parser.add_argument(
        "--trials",
        type=whole(1000, 2_000_000),
        metavar="N",
        help="check the uncertainty with so many random trials",
    )
    parser.add_argument(
        "--gauge-length-mm", type=measure, metavar="MM", help="for tables: distance between the clamps"
    )
    add_thickness_options(parser)
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Explain one file's result."""
    from analysis.budget import budget_of
    from analysis.details import details_of

    study = _study(args)
    details = details_of(study)
    _check_name(args.of, details)
    budget = budget_of(study, args.of)
    trials = _trials(study, args)
    if args.json:
        _say_json(details, budget, trials)
    else:
        _say_details(details)
        _say_budget(args.of, study, budget)
        _say_trials(budget, trials)
    return DONE


def _study(args: argparse.Namespace) -> Study:
    from analysis.study import Unusable, study_pull
    from tui.analysing import Wishes, trace_of

    wishes = Wishes(gauge_length_mm=args.gauge_length_mm, thickness=thickness_of(args))
    study = study_pull(trace_of(args.file, wishes))
    if isinstance(study, Unusable):
        raise CommandError(f"{clean(args.file.name)} gives no result to explain: {study.reason.rstrip('.')}.")
    return study


def _check_name(name: str, details: tuple[Detail, ...]) -> None:
    from analysis.results import QUANTITIES

    known = (*QUANTITIES, *(detail.name for detail in details))
    if name not in known:
        raise CommandError(f"There is no quantity {clean(name)!r}: choose one of {', '.join(known)}.", USAGE)


def _trials(study: Study, args: argparse.Namespace) -> Simulated | None:
    if args.trials is None:
        return None
    from analysis.montecarlo import simulate

    return simulate(study, trials=args.trials).get(args.of)


def _say_details(details: tuple[Detail, ...]) -> None:
    say("Further measures")
    for detail in details:
        text = quantity_text(detail.name, detail.quantity)
        say(wrapped(f"{detail.definition} [{detail.name}]: {clean(text, 300)}", hang=4))
    say()


def _say_budget(name: str, study: Study, budget: Budget | None) -> None:
    say(f"Where the uncertainty of {label_of(name)} comes from")
    if budget is None:
        say(wrapped("This pull has no such value, so there is nothing to budget."))
        return
    unit = unit_of(name)
    say(f"  {label_of(name)} {quantity_text(name, budget.result)}")
    say()
    say(f"  {'input':34} {'one u of it moves the result by':>32}  {'share':>6}")
    shown = [row for row in budget.rows if row.variance_pct >= SMALL_PCT]
    for row in shown:
        say(f"  {clean(row.name):34} {plain(row.share, unit, 2):>32}  {row.variance_pct:5.1f} %")
    rest = sum(row.variance_pct for row in budget.rows[len(shown) :])
    if len(shown) < len(budget.rows):
        say(f"  {f'{len(budget.rows) - len(shown)} smaller ones together':34} {'':>32}  {rest:5.1f} %")
    say()
    say(f"  95 % interval: ± {plain(budget.half_width, unit, 2)} (k = {budget.k:.2f})")
    if shown and shown[0].advice:
        say(wrapped(f"To be surer: {clean(shown[0].advice, 300)}", hang=2))


def _say_trials(budget: Budget | None, trials: Simulated | None) -> None:
    if budget is None or trials is None:
        return
    unit = unit_of(trials.name)
    value, half = budget.result.value, budget.half_width
    apart = max(abs(value - half - trials.low), abs(value + half - trials.high))
    sentence = (
        f"Checked with {trials.trials} trials: 95 % of them lie from {plain(trials.low, unit, 5)} to "
        f"{plain(trials.high, unit, 5)}; the budget says {plain(value - half, unit, 5)} to "
        f"{plain(value + half, unit, 5)}, at most {plain(apart, unit, 2)} apart."
    )
    say()
    say(wrapped(sentence, hang=2))


def _say_json(details: tuple[Detail, ...], budget: Budget | None, trials: Simulated | None) -> None:
    from dataclasses import asdict

    from analysis.details import details_json

    found: dict[str, Any] = {"details": details_json(details), "budget": None, "trials": None}
    if budget is not None:
        finite = budget.dof if budget.dof < float("inf") else None
        rows = [
            {"input": r.name, "share": r.share, "variance_pct": r.variance_pct, "advice": r.advice}
            for r in budget.rows
        ]
        found["budget"] = {"of": budget.name, **budget.result.to_json(), "dof": finite, "k": budget.k, "rows": rows}
    if trials is not None:
        found["trials"] = asdict(trials)
    say_json([found], as_list=False)
