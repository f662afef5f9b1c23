"""`strandbench pull`: one pull on a rig, recorded and worked out, without the app."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Parser, Subparsers, add_command, add_json, guideline_pct, measure, whole
from tui.consent import get_consent, show_cautions
from tui.kinds import ABOUT_KINDS, KINDS, add_kind_options, check_kind
from tui.output import note
from tui.pulling import note_rig, result_of, say_pull, status_of
from tui.safe_text import clean
from tui.signals import end_as_by_keyboard
from tui.thickness import add_thickness_options, thickness_of

if TYPE_CHECKING:
    from recordings.format import Method, Specimen
    from rig.outcome import PullOutcome
    from rig.plan import PullPlan

SUMMARY = "pull one strand on a rig and print its result"

PURPOSE = """
Pull one strand, record every reading in a file of its own, and print the result.

Mount the strand so that it hangs slack, measure the distance between the clamps (the gauge length), and
keep clear of the stage: the program takes the force zero, then pulls. Ctrl-C stops the motor at once; what
was recorded until then stays. The exit status is 0 only when the pull was carried out to its end.
"""

EXAMPLES = """
strandbench pull --port /dev/ttyUSB0 --gauge-length-mm 30
strandbench pull --port COM3 --gauge-length-mm 30 --diameter-um 70 --reference H12 --zone crown
strandbench pull --port tcp://127.0.0.1:5555 --gauge-length-mm 30 --out pulls --json
strandbench pull --port COM3 --gauge-length-mm 30 --kind proof --reference H12 --strand 1
strandbench pull --port COM3 --gauge-length-mm 30 --kind stretch-return --to-pct 20 --hold-s 10 --rest-s 120
strandbench pull --port COM3 --gauge-length-mm 30 --kind hold --to-pct 15 --hold-s 300
strandbench pull --port /dev/ttyACM0 --gauge-length-mm 30 --lines time_ms,force_counts,position_steps"""

#: Where recordings go unless told otherwise.
DEFAULT_OUT = Path("pulls")


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "--port URL --gauge-length-mm MM [options]"
    parser = add_command(
        subparsers, "pull", run, summary=SUMMARY, purpose=PURPOSE + ABOUT_KINDS, examples=EXAMPLES, takes=takes
    )
    _add_rig_options(parser)
    _add_strand_options(parser)
    add_thickness_options(parser)
    _add_method_options(parser)
    parser.add_argument(
        "--out", type=Path, default=DEFAULT_OUT, metavar="DIR", help="folder for the recording (default pulls)"
    )
    parser.add_argument(
        "--yes", action="store_true", help="everyone has read the cautions and the stage is clear: do not ask"
    )
    add_json(parser)


def _add_rig_options(parser: Parser) -> None:
    group = parser.add_argument_group("the rig")
    group.add_argument(
        "--port", required=True, metavar="URL", help="where the rig is: a device name, or tcp://HOST:PORT"
    )
    group.add_argument(
        "--baud", type=whole(300, 4_000_000), default=250_000, help="line speed of a serial port (default 250000)"
    )
    group.add_argument("--force-calibration", type=Path, metavar="FILE", help="instead of the newest one kept here")
    group.add_argument(
        "--extension-calibration", type=Path, metavar="FILE", help="instead of the newest one kept here"
    )
    group.add_argument("--clear-stop", action="store_true", help="the cause of the last stop is gone: forget it")
    group.add_argument(
        "--lines",
        metavar="COLUMNS",
        help="the board only prints lines, with these columns (- for one to ignore); you move the stage by hand",
    )
    group.add_argument(
        "--counts-per-n", type=measure, metavar="N", help="with --lines and raw counts: how many make a newton"
    )
    group.add_argument(
        "--steps-per-mm", type=measure, metavar="N", help="with --lines and raw steps: how many make a millimetre"
    )


def _add_strand_options(parser: Parser) -> None:
    group = parser.add_argument_group("the strand")
    group.add_argument(
        "--gauge-length-mm", type=measure, required=True, metavar="MM", help="distance between the clamps"
    )
    group.add_argument(
        "--reference", default="", metavar="CODE", help="a code for the head it is from, never a name"
    )
    group.add_argument("--strand", default="", metavar="LABEL", help="which strand of that head")
    group.add_argument("--zone", default="", help="where it grew: crown, nape, front hairline …")
    group.add_argument("--history", default="", help="what it went through: virgin, lightened twice …")
    group.add_argument("--condition", choices=("dry", "wet"), default="", help="never compare wet with dry")
    group.add_argument("--note", default="", help="anything else worth keeping")


def _add_method_options(parser: Parser) -> None:
    group = parser.add_argument_group("the pull")
    add_kind_options(group)
    group.add_argument(
        "--speed-mm-min", type=measure, metavar="SPEED", help="default: 60 %% of the gauge length a minute"
    )
    group.add_argument(
        "--travel-mm", type=measure, metavar="MM", help="give up at this travel (default: gauge length)"
    )
    group.add_argument(
        "--force-limit-n", type=measure, metavar="N", help="stop at this force (default: the cell's)"
    )
    group.add_argument(
        "--guideline-pct", type=guideline_pct, default=20.0, metavar="PCT", help="least stretch wanted (default 20)"
    )
    group.add_argument("--operator", default="", metavar="CODE", help="a code for who pulls")
    direction = group.add_mutually_exclusive_group()
    direction.add_argument(
        "--return", dest="return_after", action="store_true", help="move back when the pull is over"
    )
    direction.add_argument(
        "--stay", dest="return_after", action="store_false", help="stay there (this is the default)"
    )


def run(args: argparse.Namespace) -> int:
    """Pull; 0 only when the pull was carried out to its end."""
    from rig.specimen_rules import check_specimen

    check_kind(args)
    plan = _plan(args)
    check_specimen(plan.specimen)
    end_as_by_keyboard()
    outcome = _by_hand(args, plan) if args.lines else _by_motor(args, plan)
    say_pull(outcome, result_of(outcome), as_json=args.json)
    return status_of(outcome, by_hand=bool(args.lines))


def _by_motor(args: argparse.Namespace, plan: PullPlan) -> PullOutcome:
    from rig.connect import connect
    from rig.run import run_pull
    from tui.live_text import LiveText

    note(f"Connecting to {clean(args.port)} …")
    with connect(args.port, args.baud) as stretcher:
        note_rig(stretcher.facts)
        show_cautions(simulated=stretcher.facts.simulated)
        get_consent(agreed=args.yes or stretcher.facts.simulated)
        return run_pull(stretcher, plan, LiveText())


def _by_hand(args: argparse.Namespace, plan: PullPlan) -> PullOutcome:
    from rig.line_run import run_lines
    from tui.live_text import LiveText

    show_cautions(simulated=False)
    get_consent(agreed=args.yes)
    note(f"Listening at {clean(args.port)}. The motion is yours: this program only records, and stops nothing.")
    note("It ends when the strand breaks, when the board falls silent, or with Ctrl-C.")
    return run_lines(args.port, args.lines, plan, LiveText(), args.baud)


def _plan(args: argparse.Namespace) -> PullPlan:
    from rig.plan import PullPlan

    return PullPlan(
        _specimen(args),
        _method(args),
        directory=args.out,
        force_calibration=args.force_calibration,
        extension_calibration=args.extension_calibration,
        counts_per_n=args.counts_per_n,
        steps_per_mm=args.steps_per_mm,
        return_after=args.return_after,
        clear_stop=args.clear_stop,
    )


def _specimen(args: argparse.Namespace) -> Specimen:
    from recordings.format import Specimen

    thickness = thickness_of(args)
    specimen = Specimen(
        args.gauge_length_mm,
        reference=args.reference,
        strand=args.strand,
        zone=args.zone,
        history=args.history,
        condition=args.condition,
        note=args.note,
    )
    return specimen if thickness is None else thickness.on(specimen)


def _method(args: argparse.Namespace) -> Method:
    from recordings.format import Method

    return Method(
        kind="by_hand" if args.lines else KINDS[args.kind],
        speed_mm_min=args.speed_mm_min,
        force_limit_n=args.force_limit_n,
        travel_limit_mm=args.travel_mm,
        guideline_pct=args.guideline_pct,
        target_strain_pct=args.to_pct,
        hold_s=args.hold_s,
        rest_s=args.rest_s,
        operator=args.operator,
    )
