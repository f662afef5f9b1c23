"""A judged calibration of extension as lines of text, and as JSON."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from analysis.metrology.extension_calibration import ExtensionReport, LengthStep
from recordings.format import ExtensionCalibration
from tui.calibrating.judged_text import json_finding, say_findings
from tui.calibrating.keeping import Board
from tui.format import ABOUT_MARGIN, COVERAGE, fixed, value_and_u
from tui.output import paint, say
from tui.text_width import wrapped

NO_GIVE = (
    "What the rig itself gives way under force is not in it yet: pull stiff specimens of several lengths, then run "
    "`strandbench calibrate give`."
)


def say_report(report: ExtensionReport, steps: Sequence[LengthStep], board: Board) -> None:
    """Print what was read, how far off the line it is and what was found."""
    say(paint(f"Extension calibration of {board.text}", "strong", sys.stdout))
    say()
    if steps:
        _say_rows(report, steps)
        say()
    say_findings(report.findings)
    if report.calibration is not None:
        _say_scale(report.calibration, board)
        _say_give(report.calibration)


def _say_rows(report: ExtensionReport, steps: Sequence[LengthStep]) -> None:
    say(f"  {'reference':>12}  {'':4}  {'step':>9}  {'off the line':>12}")
    for one in steps:
        off = (
            "" if report.fit is None else f"{1000 * (one.reference_mm - report.fit.predict(one.steps)[0]):+.1f} µm"
        )
        way, reference = "out" if one.outward else "back", f"{one.reference_mm:.4f} mm"
        say(f"  {reference:>12}  {way:4}  {one.steps:>9}  {off:>12}".rstrip())


def _say_scale(calibration: ExtensionCalibration, board: Board) -> None:
    um = 1000 * calibration.mm_per_step
    value, margin = value_and_u(um, COVERAGE * abs(um) * calibration.u_rel)
    say(f"  {value} ± {margin} µm for each step ({calibration.kind})")
    if margin:
        say(paint(wrapped(ABOUT_MARGIN), "quiet", sys.stdout))
    if calibration.u_mm:
        say(f"  unevenness of the stage: {1000 * calibration.u_mm:.1f} µm (standard uncertainty of a position)")
    if board.steps_per_mm:
        off = 100 * (calibration.mm_per_step * board.steps_per_mm - 1)
        say(f"  The board itself says {1000 / board.steps_per_mm:.5g} µm: {fixed(off, 2)} % apart.")


def _say_give(calibration: ExtensionCalibration) -> None:
    give, u = calibration.compliance_mm_per_n, calibration.u_compliance_mm_per_n
    if not give and not u:
        say(wrapped(NO_GIVE))
        return
    value, margin = value_and_u(1000 * give, COVERAGE * 1000 * u)
    say(f"  the rig's own give, taken over from before: {value} ± {margin} µm/N")


def json_of(
    report: ExtensionReport, steps: Sequence[LengthStep], board: Board, path: Path | None
) -> dict[str, Any]:
    """The report for other programs."""
    calibration = report.calibration
    return {
        "what": "extension",
        "accepted": calibration is not None,
        "board_id": board.number,
        "calibration": None if calibration is None else asdict(calibration),
        "backlash_mm": report.backlash_mm,
        "lengths": [asdict(step) for step in steps],
        "findings": [json_finding(finding) for finding in report.findings],
        "file": None if path is None else str(path),
    }
