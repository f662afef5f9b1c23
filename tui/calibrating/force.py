"""`strandbench calibrate force`: newtons from counts, with weights."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json, number, whole
from tui.calibrating import keeping, loads
from tui.calibrating.force_guide import ForceGuide
from tui.failure import DONE, NOT_DONE, CommandError
from tui.output import note, say_json
from tui.safe_text import clean
from tui.signals import end_as_by_keyboard
from tui.text_width import wrapped

if TYPE_CHECKING:
    from analysis.metrology.gravity import Gravity
    from analysis.metrology.load_steps import LoadStep
    from recordings.format import JsonValue

SUMMARY = "find newtons from counts, with weights"

PURPOSE = """
Find how many newtons a count is: read the empty hook, hang known weights one after the other, take them off
again, and read the empty hook at the end. Every load is judged, and the calibration is kept only if it stands up.

Say where the rig stands, since gravity depends on it. Take at least three weights, better four or five, spread
over the range that strands need (10 to 100 g). Somebody has to hang them: run this in a terminal. Readings that
were taken before come from a table with the columns mass_g, counts and, if known, sd_counts, n, direction."""

EXAMPLES = """
strandbench calibrate force --port /dev/ttyUSB0 --weights 10,20,50,100 --latitude 51.5 --height 30
strandbench calibrate force --port COM3 --weights 5,10,20,50,100 --class F2 --gravity 9.8119 --person B7
strandbench calibrate force --readings hung.csv --board 5b000001 --latitude 51.5
strandbench calibrate force --port COM4 --lines force_counts --weights 10,20,50 --gravity 9.81 --out cell.json"""

#: Told before anything is hung. Common practice, no source.
CAUTIONS = (
    "Nothing is moved by this program now. Weights fall: hang them low over the bench, with hands and feet clear.",
    "A cell is bent for good by more than its rating: know it before you hang the largest weight.",
    "Handle weights by tweezers or gloves: a fingerprint weighs.",
)


def add_parser(kinds: Subparsers[Any]) -> None:
    """Add the kind."""
    takes = "(--port URL --weights G,G,… | --readings FILE) (--latitude DEGREES | --gravity M/S2) [options]"
    parser = add_command(kinds, "force", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes)
    keeping.add_port_options(parser, required=False)
    parser.add_argument("--weights", type=loads.masses, metavar="G,G,…", help="the loads to hang, in grams")
    loads.add_weight_options(parser)
    loads.add_gravity_options(parser)
    parser.add_argument(
        "--repeat", type=whole(1, 10), default=2, metavar="N", help="how many times up and down (default 2)"
    )
    parser.add_argument("--no-unloading", action="store_true", help="only up: what coming down shows is left out")
    parser.add_argument(
        "--seconds", type=number(0.5, 60, "s"), default=3.0, metavar="S", help="readings for each load (default 3)"
    )
    parser.add_argument(
        "--wait-s", type=number(0, 600, "s"), metavar="S", help="go on by itself so long after asking for a load"
    )
    parser.add_argument("--lines", metavar="COLUMNS", help="the board only prints lines, with these columns")
    parser.add_argument("--readings", type=Path, metavar="FILE", help="a table of what was read before")
    keeping.add_board_option(parser)
    keeping.add_keeping_options(parser)
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Take the readings, judge them, keep what stands up; 0 only when a calibration was kept."""
    from analysis.metrology.force_calibration import calibrate_force
    from tui.calibrating.force_text import json_of, say_report
    from tui.calibrating.judged_text import complain_of, say_kept

    keeping.check_out(args)
    gravity = loads.gravity_of(args)
    steps, board = _earlier(args) if args.readings else _guided(args, gravity)
    report = calibrate_force(steps, loads.weights_of(args, (step.mass_g for step in steps)), gravity)
    inputs = _inputs(steps, gravity, args)
    if report.calibration is not None:
        report = replace(report, calibration=keeping.signed(report.calibration, args, inputs))
    if not args.json:
        say_report(report, board, gravity)
    path = None if report.calibration is None else keeping.keep(report.calibration, board, inputs, args.out)
    if args.json:
        say_json([json_of(report, board, path)], as_list=False)
    elif report.calibration is not None:
        say_kept(path, report.calibration)
    if path is None:
        complain_of(report.findings)
    return NOT_DONE if path is None else DONE


def _earlier(args: argparse.Namespace) -> tuple[list[LoadStep], keeping.Board]:
    from tui.calibrating.readings import load_steps

    if args.port or args.weights:
        raise CommandError("Give either --readings, or --port with --weights, not both.")
    return load_steps(args.readings), keeping.board_given(args)


def _guided(args: argparse.Namespace, gravity: Gravity) -> tuple[list[LoadStep], keeping.Board]:
    """The readings of a person who hangs weights now."""
    _check_weights(args)
    end_as_by_keyboard()
    order = loads.hanging_order(args.weights, args.repeat, unloading=not args.no_unloading)
    if list(args.weights) != sorted(set(args.weights)):
        note(f"The weights are hung in rising order, each once a turn: {_list(sorted(set(args.weights)))} g.")
    for caution in CAUTIONS:
        note(wrapped(f"! {caution}", indent=0, hang=2))
    return _from_lines(args, order) if args.lines else _from_rig(args, order, gravity)


def _from_rig(
    args: argparse.Namespace, order: Sequence[float], gravity: Gravity
) -> tuple[list[LoadStep], keeping.Board]:
    from analysis.metrology.weights import force_n
    from rig.connect import connect
    from rig.levels import take_level
    from tui.pulling import note_rig

    with connect(args.port, args.baud) as stretcher:
        facts = stretcher.facts
        note_rig(facts)
        heaviest = max(order)
        pull_n = force_n(heaviest, gravity.value_m_s2)
        if pull_n > facts.force_range_n:
            raise CommandError(
                f"{heaviest:g} g pull with {pull_n:.2f} N and this load cell ends at {facts.force_range_n:g} N: "
                "leave the heaviest weights out."
            )
        guide = ForceGuide(lambda: take_level(stretcher, args.seconds), args.wait_s)
        return guide.walk(order), keeping.Board(facts.board_id, facts.counts_per_n)


def _from_lines(args: argparse.Namespace, order: Sequence[float]) -> tuple[list[LoadStep], keeping.Board]:
    from rig.line_levels import listening, take_line_level

    if args.out is None:
        raise CommandError("This board tells no number to keep the calibration by: name a file with --out.")
    note(f"Listening at {clean(args.port)} …")
    with listening(args.port, args.lines, args.baud) as board:
        guide = ForceGuide(lambda: take_line_level(board, args.seconds), args.wait_s)
        return guide.walk(order), keeping.Board(None)


def _check_weights(args: argparse.Namespace) -> None:
    """Complain before anything is hung. Raises CommandError, InputError."""
    from analysis.metrology.force_checks import ENOUGH_WEIGHTS

    if not args.port or not args.weights:
        raise CommandError(
            "Give --port and the --weights to hang, or --readings with a table of what was read before."
        )
    different = sorted(set(args.weights))
    if len(different) < ENOUGH_WEIGHTS:
        raise CommandError(
            f"{len(different)} different weight{'' if len(different) == 1 else 's'} can't show whether the scale "
            f"is straight: give at least {ENOUGH_WEIGHTS}, spread over the range, such as 10,20,50,100."
        )
    loads.weights_of(args, different)


def _list(masses_g: Sequence[float]) -> str:
    return ", ".join(f"{mass:g}" for mass in masses_g)


def _inputs(steps: Sequence[LoadStep], gravity: Gravity, args: argparse.Namespace) -> dict[str, JsonValue]:
    """What the calibration was made from, as it is kept with it."""
    from rig.header import software

    weights: JsonValue = args.weight_class if args.u_mass_g is None else f"weighed, u {args.u_mass_g:g} g"
    readings: list[JsonValue] = [
        {"mass_g": s.mass_g, "counts": s.counts, "sd_counts": s.sd_counts, "n": s.n, "rising": s.rising}
        for s in steps
    ]
    return {
        "readings": readings,
        "weights": weights,
        "gravity_m_s2": gravity.value_m_s2,
        "u_gravity_m_s2": gravity.u_m_s2,
        "gravity_source": gravity.source,
        "software": software(),
    }
