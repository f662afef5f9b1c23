"""`strandbench calibrate check`: one weight and a reference spring before the day's first strand."""

from __future__ import annotations

import argparse
import math
import sys
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json, measure, number
from tui.calibrating import keeping, loads
from tui.failure import DONE, LONGEST_SENTENCE, NOT_DONE, CommandError
from tui.output import complain, note, paint, say, say_json
from tui.safe_text import clean
from tui.signals import end_as_by_keyboard
from tui.text_width import wrapped

if TYPE_CHECKING:
    from analysis.metrology.daily_check import CheckResult
    from analysis.metrology.gravity import Gravity
    from recordings.format import JsonValue
    from rig.calibration_store import Calibrations
    from rig.stretcher import Stretcher

SUMMARY = "check the rig with one weight and a reference spring"

PURPOSE = """
Check before the day's first strand that the rig still reads as it did when it was calibrated: hang one known
weight, stretch a spring of known stiffness, or both. The answer is pass, drifted by how much, or calibrate again.
Every check is added to a log beside the board's calibrations.

Gravity is taken from the calibration unless it is given. The exit status is 0 unless the rig must be calibrated
again."""

EXAMPLES = """
strandbench calibrate check --port /dev/ttyUSB0 --weight 100
strandbench calibrate check --port COM3 --weight 100 --spring-n-mm 0.05 --person B7"""

#: Signs and colours of the outcomes, each beside its word.
SIGNS = {"pass": ("✔", "good"), "drifted": ("≈", "unsure"), "recalibrate": ("✘", "bad")}


def add_parser(kinds: Subparsers[Any]) -> None:
    """Add the kind."""
    takes = "--port URL [--weight G] [--spring-n-mm K] [options]"
    parser = add_command(kinds, "check", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes)
    keeping.add_port_options(parser, required=True)
    parser.add_argument("--weight", type=number(0.1, 1000, "g"), metavar="G", help="the weight to hang")
    loads.add_weight_options(parser)
    loads.add_gravity_options(parser)
    parser.add_argument("--spring-n-mm", type=measure, metavar="K", help="stiffness of the reference spring")
    parser.add_argument(
        "--u-spring-n-mm", type=measure, metavar="U", help="its standard uncertainty (default 0.3 %%)"
    )
    parser.add_argument(
        "--seconds", type=number(0.5, 60, "s"), default=3.0, metavar="S", help="readings for each level"
    )
    parser.add_argument(
        "--wait-s", type=number(0, 600, "s"), metavar="S", help="go on by itself so long after asking for something"
    )
    parser.add_argument("--person", default="", metavar="CODE", help="a code for who checks, never a name")
    parser.add_argument(
        "--yes", action="store_true", help="everyone has read the cautions and the stage is clear: do not ask"
    )
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Check, log and say; 0 unless the rig must be calibrated again."""
    if args.weight is None and args.spring_n_mm is None:
        raise CommandError("Give what to check with: --weight 100, --spring-n-mm 0.05, or both.")
    if args.spring_n_mm is not None and not args.spring_n_mm > 0:
        raise CommandError("A spring's stiffness must be above 0 N/mm: give --spring-n-mm such as 0.05.")
    given = loads.gravity_if_given(args)
    if args.weight is not None:
        loads.weights_of(args, [args.weight])
    end_as_by_keyboard()
    results, board, entry = _checked(args, given)
    if args.json:
        say_json([entry], as_list=False)
    else:
        _say(results, board)
    if any(result.outcome == "recalibrate" for result in results):
        complain("Calibrate the rig again before any strand is judged: strandbench calibrate force.")
        return NOT_DONE
    return DONE


def _checked(
    args: argparse.Namespace, given: Gravity | None
) -> tuple[list[CheckResult], keeping.Board, dict[str, JsonValue]]:
    from rig.calibration_shelf import log_check
    from rig.calibration_store import calibrations_for
    from rig.connect import connect
    from tui.pulling import note_rig

    with connect(args.port, args.baud) as stretcher:
        note_rig(stretcher.facts)
        board = keeping.Board(stretcher.facts.board_id)
        calibrations = calibrations_for(stretcher.facts)
        if calibrations.force is None or calibrations.force.kind == "nominal":
            raise CommandError(f"Nothing is kept to check {board.text} against: run `calibrate force` first.")
        results = []
        if args.weight is not None:
            results.append(_by_weight(stretcher, args, calibrations, given or _gravity_kept(stretcher)))
        if args.spring_n_mm is not None:
            from tui.calibrating.spring import check_spring

            results.append(check_spring(stretcher, args, calibrations))
        entry: dict[str, JsonValue] = {
            "when": stretcher.clock.today().isoformat(timespec="seconds"),
            "board_id": board.number,
            "person": clean(args.person),
            "force_calibration": calibrations.force.identifier,
            "checks": [asdict(result) for result in results],
        }
        log_check(stretcher.facts.board_id, entry)
    return results, board, entry


def _gravity_kept(stretcher: Stretcher) -> Gravity:
    """Gravity as it was when the board was calibrated. Raises CommandError where that was not kept."""
    from analysis.metrology.gravity import Gravity
    from rig.calibration_shelf import load_any
    from rig.calibration_store import FORCE, newest

    path = newest(stretcher.facts.board_id, FORCE)
    kept = {} if path is None else load_any(path).inputs
    value, u = kept.get("gravity_m_s2"), kept.get("u_gravity_m_s2")
    if not isinstance(value, float) or not isinstance(u, float):
        raise CommandError("The calibration does not say where the rig stands: give --latitude or --gravity.")
    return Gravity(value, u, "as calibrated")


def _by_weight(
    stretcher: Stretcher, args: argparse.Namespace, calibrations: Calibrations, gravity: Gravity
) -> CheckResult:
    """Nothing, the weight, nothing again: the mean of the two zeros counts."""
    from analysis.metrology.daily_check import RestLevel, check_reading, force_at
    from analysis.metrology.weights import force_n, u_force_n
    from rig.levels import take_level
    from tui.calibrating.force_guide import ForceGuide

    assert calibrations.force is not None
    expected = force_n(args.weight, gravity.value_m_s2)
    if expected > stretcher.facts.force_range_n:
        raise CommandError(f"{args.weight:g} g are too heavy for this load cell: use a lighter weight.")
    note("Weights fall: hang it low over the bench, with hands and feet clear.")
    guide = ForceGuide(lambda: take_level(stretcher, args.seconds), args.wait_s)
    before, hung, after = guide.walk([0.0, args.weight, 0.0])
    # The zero wandered from one reading to the other: somewhere between them it was when the weight hung.
    wander = abs(after.counts - before.counts) / 2 / math.sqrt(3)
    noise = math.hypot(before.sd_counts, after.sd_counts) / 2 / math.sqrt(before.n)
    zero = RestLevel((before.counts + after.counts) / 2, math.hypot(wander, noise))
    level = RestLevel(hung.counts, hung.sd_counts / math.sqrt(hung.n))
    found, u_found = force_at(calibrations.force, zero, level)
    (weight,) = loads.weights_of(args, [args.weight]).values()
    return check_reading(f"{args.weight:g} g weight", expected, u_force_n(weight, gravity), found, u_found)


def _say(results: list[CheckResult], board: keeping.Board) -> None:
    say(paint(f"Daily check of {board.text}", "strong", sys.stdout))
    for result in results:
        sign, colour = SIGNS[result.outcome]
        word = paint(f"{sign} {result.outcome}", colour, sys.stdout)
        say(wrapped(f"{word}: {clean(result.sentence, LONGEST_SENTENCE)}", hang=2))
