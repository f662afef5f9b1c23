"""An old recording worked out with a corrected calibration, and the sentences that say so.

The recording itself is never changed: only what its counts and steps are taken for.
"""

from __future__ import annotations

from dataclasses import replace

from analysis.errors import InputError
from analysis.from_recording import NOMINAL, PRINTED, trace_from_recording
from analysis.trace import Trace
from recordings.format import ExtensionCalibration, ForceCalibration, Recording

#: Kind of the calibration that a simulated rig brings along.
SIMULATED = "simulated"


def recalibrated_trace(
    recording: Recording, force: ForceCalibration | None = None, extension: ExtensionCalibration | None = None
) -> Trace:
    """The trace of a recording by other calibrations than it was recorded with; None keeps the recorded one.

    Raises InputError where the board printed the quantity itself, which leaves nothing to calibrate.
    """
    header, notes = recording.header, list[tuple[str, str]]()
    for name, old, new in (
        ("force", header.force_calibration, force),
        ("extension", header.extension_calibration, extension),
    ):
        if new is None:
            continue
        if old is not None and old.kind == PRINTED:
            raise InputError(
                f"{recording.name} is of a board that prints its {name} itself, which can't be calibrated again; "
                "leave the calibration out"
            )
        by = f"{_called(new)}; it was recorded with {_called(old)}"
        notes.append(("recalibrated", f"The {name} is worked out anew with {by}."))
    changed = replace(
        header,
        force_calibration=force or header.force_calibration,
        extension_calibration=extension or header.extension_calibration,
    )
    trace = trace_from_recording(replace(recording, header=changed))
    return replace(trace, notes=(*trace.notes, *notes))


def _called(calibration: ForceCalibration | ExtensionCalibration | None) -> str:
    """A calibration in words: its date and identifier, or whose claim it is."""
    if calibration is None:
        return "none"
    if calibration.kind == NOMINAL:
        return "the board's own claim of its scale"
    if calibration.kind == SIMULATED and not calibration.date:
        return "the simulated rig's own scale"
    name = f" ({calibration.identifier})" if calibration.identifier else ""
    return f"the calibration of {calibration.date or 'an unknown day'}{name}"
