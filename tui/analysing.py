"""From a file, a recording or another program's table, to its result: one way for the commands and the app."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from tui.failure import CommandError
from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.guideline import Guideline
    from analysis.results import PullResult
    from analysis.trace import Trace
    from recordings.format import Method, Recording, Specimen
    from tui.thickness import Thickness


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a person wants of an analysis beyond the file itself; None is "as the file says"."""

    gauge_length_mm: float | None = None
    diameter_um: float | None = None
    #: Cross-section and linear density, where more is known than a diameter.
    thickness: Thickness | None = None
    #: Calibration files to use instead of what stands in a recording.
    force_calibration: Path | None = None
    extension_calibration: Path | None = None
    #: Columns of a table, by title or number, with a unit in brackets where the table has none.
    time: str | None = None
    force: str | None = None
    extension: str | None = None
    sheet: str | None = None
    guideline_pct: float | None = None
    guideline_file: Path | None = None
    remove_slack: bool = True
    correct_compliance: bool = True
    even_if_altered: bool = False


NOTHING_SPECIAL = Wishes()


@dataclass(frozen=True, slots=True)
class Analysed:
    """A file's result, and the strand and method it says it is of."""

    result: PullResult
    specimen: Specimen | None
    method: Method | None


def analyse_file(path: Path, wishes: Wishes = NOTHING_SPECIAL) -> PullResult:
    """The result of one file; see `analyse_with_strand`."""
    return analyse_with_strand(path, wishes).result


def analyse_with_strand(path: Path, wishes: Wishes = NOTHING_SPECIAL) -> Analysed:
    """Analyse one file. Raises what `trace_of` raises."""
    from analysis.kinds.door import analyse_kind
    from analysis.study import Options

    trace = trace_of(path, wishes)
    options = Options(remove_slack=wishes.remove_slack, correct_compliance=wishes.correct_compliance)
    return Analysed(analyse_kind(trace, _guideline(trace, wishes), options), trace.specimen, trace.method)


def trace_of(path: Path, wishes: Wishes = NOTHING_SPECIAL) -> Trace:
    """One file in physical units. Raises what the readers raise, and CommandError for one that was changed."""
    from recordings.reader import looks_like_recording

    return _recorded(path, wishes) if looks_like_recording(path) else _tabled(path, wishes)


def _recorded(path: Path, wishes: Wishes) -> Trace:
    from recordings.reader import read_recording

    recording = read_recording(path)
    if recording.altered and not wishes.even_if_altered:
        raise CommandError(
            f"{clean(path.name)} was changed after the pull, so nothing vouches for it: use the original file, or "
            "say --even-if-altered to analyse what stands there now."
        )
    trace = _calibrated(recording, wishes)
    return replace(trace, specimen=_corrected(trace, wishes))


def _calibrated(recording: Recording, wishes: Wishes) -> Trace:
    """The trace by the calibrations wished for, else by the recording's own. Raises BadPlan for another rig's."""
    from analysis.recalibration import recalibrated_trace
    from rig.calibration_store import load_extension, load_force

    board_id = recording.header.rig.board_id
    force, extension = wishes.force_calibration, wishes.extension_calibration
    return recalibrated_trace(
        recording,
        None if force is None else load_force(force, board_id),
        None if extension is None else load_extension(extension, board_id),
    )


def _corrected(trace: Trace, wishes: Wishes) -> Specimen | None:
    """The specimen with what the person knows better than the recording. Raises CommandError for nonsense."""
    from recordings.plausible import specimen_problem

    problem = specimen_problem(wishes.gauge_length_mm, wishes.diameter_um)
    if problem:
        raise CommandError(problem)
    known = trace.specimen
    if known is not None and wishes.gauge_length_mm is not None:
        known = replace(known, gauge_length_mm=wishes.gauge_length_mm)
    if known is not None and wishes.diameter_um is not None:
        known = replace(known, diameter_um=wishes.diameter_um, u_diameter_um=None, area_um2=None, u_area_um2=None)
    return wishes.thickness.on(known) if known is not None and wishes.thickness is not None else known


def _tabled(path: Path, wishes: Wishes) -> Trace:
    from analysis.tables.read import read_table

    if wishes.force_calibration is not None or wishes.extension_calibration is not None:
        raise CommandError(
            f"{clean(path.name)} is a table in units, which has no counts to calibrate: leave the calibration out."
        )
    trace = read_table(
        path,
        gauge_length_mm=wishes.gauge_length_mm,
        diameter_um=wishes.diameter_um,
        time=wishes.time,
        force=wishes.force,
        extension=wishes.extension,
        sheet=wishes.sheet,
    )
    return replace(trace, specimen=_corrected(trace, wishes))


def _guideline(trace: Trace, wishes: Wishes) -> Guideline:
    """The guideline given, else the one the pull was made for, else the one that comes with the program."""
    from analysis.guideline import load_guideline

    guideline = load_guideline(wishes.guideline_file)
    limit = wishes.guideline_pct
    if limit is None and wishes.guideline_file is None and trace.method is not None:
        limit = trace.method.guideline_pct
    return guideline if limit is None else replace(guideline, lower_limit_pct=limit)
