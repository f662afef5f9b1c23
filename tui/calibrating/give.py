"""`strandbench calibrate give`: the rig's own give, from recordings of pulls on stiff specimens."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json
from tui.calibrating import keeping
from tui.failure import DONE, CommandError
from tui.files import expanded
from tui.format import ABOUT_MARGIN, COVERAGE, value_and_u
from tui.output import paint, say, say_json
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    from analysis.metrology.extension_calibration import Compliance, StiffPull
    from recordings.format import ExtensionCalibration, ForceCalibration, JsonValue, Recording

SUMMARY = "find how far the rig itself gives way under force"

PURPOSE = """
Find how far cell, clamps and frame give way under force, so that it can be taken out of every stretch. Pull stiff
specimens of one material (such as a steel wire) in at least three lengths, slowly and not to the break, with their
thickness given; then name the recordings here. Extension per force grows with length; what is left at length
nothing is the rig's own.

The give goes into a new extension calibration of the same board, beside the millimetres for each step."""

EXAMPLES = """
strandbench pull --port COM3 --gauge-length-mm 20 --diameter-um 100 --u-diameter-um 1 --speed-mm-min 0.5 --out wire
strandbench calibrate give wire/*.pull.csv --person B7"""


def add_parser(kinds: Subparsers[Any]) -> None:
    """Add the kind."""
    parser = add_command(
        kinds, "give", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes="[options] FILE …"
    )
    parser.add_argument("files", nargs="+", metavar="FILE", help="recordings of pulls on stiff specimens")
    keeping.add_keeping_options(parser)
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Find the give and keep it; 0 only when it was kept."""
    from analysis.metrology.extension_calibration import rig_compliance, with_compliance

    keeping.check_out(args)
    recordings = _recordings(expanded(args.files))
    board, scale, pulls = _pulls(recordings)
    found = rig_compliance(pulls)
    inputs = _inputs(recordings, pulls)
    made = with_compliance(_signed(scale, args, inputs), found)
    if not args.json:
        _say(recordings, pulls, found, board)
    path = keeping.keep(made, board, inputs, args.out)
    if args.json:
        result: dict[str, Any] = {
            "what": "give",
            "board_id": board.number,
            **asdict(found),
            "calibration": asdict(made),
            "file": str(path),
        }
        say_json([result], as_list=False)
    else:
        from tui.calibrating.judged_text import say_kept

        say_kept(path, made)
    return DONE


def _signed(
    scale: ExtensionCalibration, args: argparse.Namespace, inputs: dict[str, JsonValue]
) -> ExtensionCalibration:
    """The scale under a new name; its millimetres are as old as they were, and due when they were."""
    made = keeping.signed(scale, args, inputs)
    return replace(made, date=scale.date, due=scale.due) if scale.date else made


def _recordings(paths: Sequence[Path]) -> list[Recording]:
    """The recordings, all whole and of one board. Raises what the reader raises, and CommandError."""
    from recordings.reader import read_recording

    found = [read_recording(path) for path in paths]
    for recording in found:
        if recording.altered:
            raise CommandError(f"{clean(recording.name)} was changed after the pull: use the original file.")
    boards = {recording.header.rig.board_id for recording in found}
    if len(boards) > 1:
        raise CommandError("The recordings are of different boards: the give of one rig says nothing of another's.")
    return found


def _pulls(recordings: Sequence[Recording]) -> tuple[keeping.Board, ExtensionCalibration, list[StiffPull]]:
    """Extension per force of each pull, all by the scales that hold for the board now."""
    from analysis.metrology.stiff_pull import stiff_pull
    from analysis.recalibration import recalibrated_trace

    board = keeping.Board(recordings[0].header.rig.board_id)
    force, extension = _scales(board)
    pulls = [stiff_pull(recalibrated_trace(recording, force, extension)) for recording in recordings]
    scale = extension or recordings[-1].header.extension_calibration
    if scale is None:
        raise CommandError("The recordings have no position in millimetres: calibrate the extension first.")
    return board, scale, pulls


def _scales(board: keeping.Board) -> tuple[ForceCalibration | None, ExtensionCalibration | None]:
    """The newest calibrations kept of a board; None where the recordings' own must do."""
    from rig.calibration_store import EXTENSION, FORCE, load_extension, load_force, newest

    if board.number is None:
        return None, None
    force, extension = newest(board.number, FORCE), newest(board.number, EXTENSION)
    return (
        None if force is None else load_force(force, board.number),
        None if extension is None else load_extension(extension, board.number),
    )


def _inputs(recordings: Sequence[Recording], pulls: Sequence[StiffPull]) -> dict[str, JsonValue]:
    from rig.header import software

    used: list[JsonValue] = [
        {"recording": recording.name, "sha256": recording.end.sha256 if recording.end else None, **asdict(pull)}
        for recording, pull in zip(recordings, pulls, strict=True)
    ]
    return {"stiff_pulls": used, "software": software()}


def _say(
    recordings: Sequence[Recording], pulls: Sequence[StiffPull], found: Compliance, board: keeping.Board
) -> None:
    say(paint(f"Give of the rig with {board.text}", "strong", sys.stdout))
    say()
    say(f"  {'length':>9}  {'area':>12}  {'gives':>12}  recording")
    for recording, pull in zip(recordings, pulls, strict=True):
        length, area = f"{pull.length_mm:g} mm", f"{1e6 * pull.area_mm2:.0f} µm²"
        gives = f"{1e3 * pull.mm_per_n:.2f} µm/N"
        say(f"  {length:>9}  {area:>12}  {gives:>12}  {clean(recording.name)}")
    say()
    give, margin = value_and_u(1e3 * found.mm_per_n, COVERAGE * 1e3 * found.u_mm_per_n)
    modulus, u_modulus = value_and_u(found.modulus_mpa / 1e3, COVERAGE * found.u_modulus_mpa / 1e3)
    say(f"  the rig itself       {give} ± {margin} µm/N")
    say(f"  the specimens        {modulus} ± {u_modulus} GPa")
    say(wrapped(ABOUT_MARGIN))
    say(wrapped("Compare that stiffness with the material's: where it is far off, a length or thickness is wrong."))
