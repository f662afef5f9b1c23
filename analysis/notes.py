"""Flags that come from the trace itself: rows left out, calibrations, an incomplete file.

Owns what is told about how a pull was recorded. Must not know what the curve shows.
"""

from __future__ import annotations

from analysis.results import Flag
from analysis.trace import Trace


def flags_of(trace: Trace, found: tuple[Flag, ...]) -> tuple[Flag, ...]:
    """The trace's own flags and those that the analysis found, in the order a person wants to read them."""
    notes = tuple(Flag(code, message) for code, message in trace.notes)
    return (*_once(notes + found), *_calibration_flags(trace), *_file_flags(trace))


def _once(flags: tuple[Flag, ...]) -> tuple[Flag, ...]:
    return tuple(dict.fromkeys(flags))


def _file_flags(trace: Trace) -> tuple[Flag, ...]:
    if trace.complete:
        return ()
    text = "the recording has no valid end: it was cut off or altered, and is read as far as it goes"
    return (Flag("incomplete", text),)


def _calibration_flags(trace: Trace) -> tuple[Flag, ...]:
    if trace.counts is None:
        return ()
    flags = []
    force, extension = trace.force_calibration, trace.extension_calibration
    missing = [
        what for what, cal in (("force", force), ("extension", extension)) if (cal is None or cal.kind == "nominal")
    ]
    if missing:
        text = f"the {' and the '.join(missing)} scale is the board's own claim: calibrate the rig"
        flags.append(Flag("uncalibrated", text))
    overdue = [
        f"{what} calibration was due on {cal.due}"
        for what, cal in (("force", force), ("extension", extension))
        if cal is not None and cal.due and trace.date and trace.date[:10] > cal.due[:10]
    ]
    if overdue:
        flags.append(Flag("calibration_overdue", f"the {' and the '.join(overdue)}: calibrate again"))
    return tuple(flags)
