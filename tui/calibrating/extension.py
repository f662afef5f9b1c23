"""`strandbench calibrate extension`: millimetres from steps, with gauge blocks, a dial gauge or counted turns."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Parser, Subparsers, add_command, add_json, measure, whole
from tui.calibrating import keeping
from tui.failure import DONE, NOT_DONE, CommandError
from tui.output import note, say_json
from tui.signals import end_as_by_keyboard

if TYPE_CHECKING:
    from analysis.metrology.extension_calibration import ExtensionReport, LengthStep
    from recordings.format import ExtensionCalibration, JsonValue
    from rig.stretcher import Stretcher

SUMMARY = "find millimetres from steps, with a dial gauge, gauge blocks or counted turns"

PURPOSE = """
Find how many millimetres a step is. With a dial gauge the stage is moved to positions out and back, and you type
what the gauge says at each. With gauge blocks you let each block just fit. Or count the turns of the screw and
give its lead. Nothing hangs in the clamps meanwhile.

Readings that were taken before come from a table with the columns reference_mm, steps and, if known, u_mm,
direction (out or back). What the rig itself gives way under force is found with `strandbench calibrate give`."""

EXAMPLES = """
strandbench calibrate extension --port /dev/ttyUSB0 --positions-mm 0,1,2,5,10,15
strandbench calibrate extension --port COM3 --blocks-mm 5,10,15,20 --u-mm 0.0005
strandbench calibrate extension --turns 10 --lead-mm 2 --steps 16000 --board 5b000001
strandbench calibrate extension --readings gauge.csv --board 5b000001 --person B7"""

#: Standard uncertainty of what is read where nobody gave one [mm]: a dial of 0.01 mm divisions read to the nearest,
#: with an error of its own as large (rectangular ±0.01); a workshop gauge block. Common practice, no source.
U_DIAL_MM = 0.006
U_BLOCK_MM = 0.001
#: Share of its lead that a rolled screw is off by: common practice, no source.
U_LEAD_SHARE = 5e-4
#: The positions of a dial gauge where none are given [mm]: half of what a strand of 30 mm stretches at most.
USUAL_POSITIONS_MM = (0.0, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0)


def add_parser(kinds: Subparsers[Any]) -> None:
    """Add the kind."""
    takes = "(--port URL [--positions-mm …|--blocks-mm …] | --turns N --lead-mm MM --steps N | --readings FILE)"
    parser = add_command(kinds, "extension", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes)
    keeping.add_port_options(parser, required=False)
    parser.add_argument(
        "--positions-mm", type=lengths, metavar="MM,…", help="where to read the dial gauge (default 0,1,2,4,6,8,10)"
    )
    parser.add_argument("--blocks-mm", type=lengths, metavar="MM,…", help="gauge blocks to fit in, instead")
    parser.add_argument("--no-return", action="store_true", help="do not read the dial on the way back")
    parser.add_argument("--u-mm", type=measure, metavar="MM", help="standard uncertainty of what is read")
    parser.add_argument(
        "--yes", action="store_true", help="everyone has read the cautions and the stage is clear: do not ask"
    )
    _add_turns(parser)
    parser.add_argument("--readings", type=Path, metavar="FILE", help="a table of what was read before")
    keeping.add_board_option(parser)
    keeping.add_keeping_options(parser)
    add_json(parser)


def _add_turns(parser: Parser) -> None:
    group = parser.add_argument_group("counted turns")
    group.add_argument("--turns", type=measure, metavar="N", help="turns of the screw that were counted")
    group.add_argument("--lead-mm", type=measure, metavar="MM", help="way of the stage in one turn")
    group.add_argument("--u-lead-mm", type=measure, metavar="MM", help="its standard uncertainty (default 0.05 %%)")
    group.add_argument("--steps", type=whole(1, 10**9), metavar="N", help="steps counted meanwhile")


def lengths(text: str) -> tuple[float, ...]:
    """A converter for argparse: lengths [mm] with commas (or semicolons) between them."""
    found = tuple(measure(part.strip()) for part in text.split(";" if ";" in text else ","))
    if any(length < 0 for length in found):
        raise argparse.ArgumentTypeError(f"lengths can't be below 0: give {text!r} as such as 0,1,2,5,10")
    return found


def run(args: argparse.Namespace) -> int:
    """Take the readings, judge them, keep what stands up; 0 only when a calibration was kept."""
    from tui.calibrating.extension_text import json_of, say_report
    from tui.calibrating.judged_text import complain_of, say_kept

    keeping.check_out(args)
    if args.u_mm is not None and not args.u_mm > 0:
        raise CommandError("A standard uncertainty must be above 0: give --u-mm such as 0.006.")
    report, steps, board = _report(args)
    inputs = _inputs(args, steps)
    if report.calibration is not None:
        made = keeping.with_known_give(keeping.signed(report.calibration, args, inputs), board)
        report = replace(report, calibration=made)
    if not args.json:
        say_report(report, steps, board)
    path = None if report.calibration is None else keeping.keep(report.calibration, board, inputs, args.out)
    if args.json:
        say_json([json_of(report, steps, board, path)], as_list=False)
    elif report.calibration is not None:
        say_kept(path, report.calibration)
    if path is None:
        complain_of(report.findings)
    return NOT_DONE if path is None else DONE


def _report(args: argparse.Namespace) -> tuple[ExtensionReport, list[LengthStep], keeping.Board]:
    """The judged calibration by the way that was asked for, and only one way."""
    from analysis.metrology.extension_calibration import ExtensionReport, calibrate_extension
    from tui.calibrating.readings import length_steps

    turns = args.turns is not None or args.lead_mm is not None or args.steps is not None
    if sum((turns, args.port is not None, args.readings is not None)) != 1:
        raise CommandError(
            "Give one way to calibrate: --port for a dial gauge or blocks, or --turns with --lead-mm and --steps, "
            "or --readings FILE."
        )
    if turns:
        return ExtensionReport(_from_turns(args), None, None, ()), [], keeping.board_given(args)
    if args.readings is not None:
        steps, board = length_steps(args.readings, args.u_mm or U_DIAL_MM), keeping.board_given(args)
        return calibrate_extension(steps, kind="readings"), steps, board
    steps, board = _guided(args)
    return calibrate_extension(steps, kind="gauge blocks" if args.blocks_mm else "dial gauge"), steps, board


def _from_turns(args: argparse.Namespace) -> ExtensionCalibration:
    from analysis.metrology.extension_calibration import from_turns

    if args.turns is None or args.lead_mm is None or args.steps is None:
        raise CommandError("Counted turns need all of --turns, --lead-mm and --steps.")
    u_lead_mm = U_LEAD_SHARE * args.lead_mm if args.u_lead_mm is None else args.u_lead_mm
    return from_turns(args.steps, args.turns, args.lead_mm, u_lead_mm)


def _guided(args: argparse.Namespace) -> tuple[list[LengthStep], keeping.Board]:
    """The readings of a person at the stage now."""
    from analysis.metrology.extension_calibration import ENOUGH_LENGTHS
    from rig.connect import connect
    from tui.consent import get_consent, show_cautions
    from tui.pulling import note_rig

    if args.blocks_mm and args.positions_mm:
        raise CommandError("Give either --positions-mm for a dial gauge, or --blocks-mm, not both.")
    wanted = args.blocks_mm or args.positions_mm or USUAL_POSITIONS_MM
    if len(set(wanted)) < ENOUGH_LENGTHS:
        raise CommandError(f"Give at least {ENOUGH_LENGTHS} different lengths, spread over the travel.")
    end_as_by_keyboard()
    with connect(args.port, args.baud) as stretcher:
        note_rig(stretcher.facts)
        show_cautions(simulated=stretcher.facts.simulated)
        get_consent(agreed=args.yes or stretcher.facts.simulated)
        steps = _read(stretcher, args, wanted)
        facts = stretcher.facts
        return steps, keeping.Board(facts.board_id, facts.counts_per_n, facts.steps_per_mm)


def _read(stretcher: Stretcher, args: argparse.Namespace, wanted: Sequence[float]) -> list[LengthStep]:
    from rig.preparation import clear_latched
    from tui.calibrating.extension_guide import fit_blocks, read_dial

    clear_latched(stretcher, everything=False)
    note("The stage moves to each position by itself, slowly: keep fingers away while it does.")
    if args.blocks_mm:
        return fit_blocks(stretcher, wanted, args.u_mm or U_BLOCK_MM)
    return read_dial(stretcher, wanted, args.u_mm or U_DIAL_MM, back=not args.no_return)


def _inputs(args: argparse.Namespace, steps: Sequence[LengthStep]) -> dict[str, JsonValue]:
    """What the calibration was made from, as it is kept with it."""
    from rig.header import software

    turns: dict[str, JsonValue] = {"turns": args.turns, "lead_mm": args.lead_mm, "steps": args.steps}
    readings: list[JsonValue] = [
        {"reference_mm": s.reference_mm, "u_mm": s.u_reference_mm, "steps": s.steps, "outward": s.outward}
        for s in steps
    ]
    return {"readings": readings, "software": software(), **(turns if args.turns is not None else {})}
