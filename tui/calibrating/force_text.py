"""A judged force calibration as lines of text, and as JSON."""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analysis.metrology.force_calibration import ForceReport
from analysis.metrology.force_limits import CLASSES
from analysis.metrology.load_rows import LoadRow, load_rows
from recordings.format import ForceCalibration
from tui.calibrating.judged_text import json_finding, say_findings
from tui.calibrating.keeping import Board
from tui.format import ABOUT_MARGIN, COVERAGE, fixed, plain, value_and_u
from tui.output import paint, say
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    from analysis.metrology.gravity import Gravity

CAVEAT = (
    "The limits of the classes are those of ISO 7500-1:2018 Table 2 as remembered, not read: look them up in the "
    "standard before you quote a class."
)


def say_report(report: ForceReport, board: Board, gravity: Gravity) -> None:
    """Print what was read, how far off it is and what was found."""
    say(paint(f"Force calibration of {board.text}", "strong", sys.stdout))
    say(f"  gravity {gravity.value_m_s2:.5f} m/s² (u {plain(gravity.u_m_s2, digits=2)}; {clean(gravity.source)})")
    say()
    _say_rows(load_rows(report))
    if report.errors is not None:
        say()
        _say_errors(report)
    say()
    say_findings(report.findings)
    if report.calibration is not None:
        _say_scale(report.calibration, board)


def _say_rows(rows: tuple[LoadRow, ...]) -> None:
    say(f"  {'hung':>10}  {'':4}  {'true force':>12}  {'counts':>11}  {'reads':>11}  {'off by':>11}  {'':>9}")
    for row in rows:
        way = "" if not row.mass_g else "up" if row.rising else "down"
        reads = "" if row.indicated_n is None else f"{row.indicated_n:.5f} N"
        off = "" if row.error_n is None else f"{1000 * row.error_n:+.3f} mN"
        share = "" if row.error_pct is None else f"{row.error_pct:+.3f} %"
        mass, force = f"{row.mass_g:g} g", f"{row.force_n:.5f} N"
        line = f"  {mass:>10}  {way:4}  {force:>12}  {row.counts:>11.0f}  {reads:>11}  {off:>11}  {share:>9}"
        say(line.rstrip())


def _say_errors(report: ForceReport) -> None:
    assert report.errors is not None
    limits = next((c for c in CLASSES if c.name == report.class_name), CLASSES[-1])
    rows = (
        ("worst error", report.errors.error_pct, limits.error_pct),
        ("repeatability", report.errors.repeatability_pct, limits.repeatability_pct),
        ("reversibility", report.errors.reversibility_pct, limits.reversibility_pct),
        ("return to zero, of the largest load", report.errors.zero_pct, limits.zero_pct),
    )
    for label, found, limit in rows:
        value = "not shown" if found is None else f"{found:.3f} %"
        say(f"  {label:36} {value:>10}   (class {limits.name}: {limit:g} %)")
    reached = "no class" if report.class_name is None else f"class {report.class_name}"
    say(f"  {'reached':36} {reached:>10}")
    say(paint(wrapped(CAVEAT), "quiet", sys.stdout))


def _say_scale(calibration: ForceCalibration, board: Board) -> None:
    """Counts per newton near zero with its ±, and against the board's own claim."""
    per_n = 1 / calibration.n_per_count
    relative = (calibration.u_n_per_count / calibration.n_per_count) ** 2 + calibration.u_rel**2
    value, margin = value_and_u(per_n, COVERAGE * abs(per_n) * relative**0.5)
    curved = ", bending slightly with force" if calibration.n_per_count2 else ""
    say(f"  {value} ± {margin} counts per newton{curved}")
    say(paint(wrapped(ABOUT_MARGIN), "quiet", sys.stdout))
    if board.counts_per_n:
        off = 100 * (per_n / board.counts_per_n - 1)
        say(f"  The board itself says {board.counts_per_n:.0f}: {fixed(off, 2)} % apart.")


def json_of(report: ForceReport, board: Board, path: Path | None) -> dict[str, Any]:
    """The report for other programs."""
    calibration = report.calibration
    return {
        "what": "force",
        "accepted": report.accepted,
        "board_id": board.number,
        "calibration": None if calibration is None else asdict(calibration),
        "class": report.class_name,
        "class_limits": "ISO 7500-1:2018 Table 2, from memory",
        "errors": None if report.errors is None else asdict(report.errors),
        "loads": [asdict(row) for row in load_rows(report)],
        "findings": [json_finding(finding) for finding in report.findings],
        "file": None if path is None else str(path),
    }
