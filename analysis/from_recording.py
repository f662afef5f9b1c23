"""A recording as a trace: counts to newtons, steps to millimetres, by the calibration in its header.

Owns the conversion and what must be said about it (no calibration, an overdue one, gaps). Concludes nothing.
"""

from __future__ import annotations

from array import array
from datetime import date

import numpy as np

from analysis.trace import FloatArray, IntArray, Trace
from recordings.format import ExtensionCalibration, ForceCalibration, Mark, Recording

Note = tuple[str, str]

#: Kinds of calibration that nobody made: the board's own claim of its scale.
NOMINAL = "nominal"
#: A board that prints force has its own zero; all other counts have none of their own.
PRINTED = "printed"
SECONDS_PER_US = 1e-6


def trace_from_recording(recording: Recording) -> Trace:
    """Convert a recording to physical units.

    Force: F = a x + b x**2 [N] with x the counts from the mean in the last "zeroed" mark before the start. Where
    no zero was taken x counts from the first sample, and `u_zero_n` is None. Extension: steps from the first
    row times mm per step [mm], uncorrected. A scale that is missing or not usable makes its array None.
    """
    header, rows = recording.header, recording.rows
    force_scale, extension_scale = _usable_force(header.force_calibration), _usable(header.extension_calibration)
    counts, steps = _column(rows.counts), _column(rows.steps)
    zero_counts, u_zero_counts = _zero(recording, counts)
    return Trace(
        name=recording.name,
        time_s=_from_first(_column(rows.t_us)) * SECONDS_PER_US,
        force_n=None if force_scale is None else _force(counts, zero_counts, force_scale),
        extension_mm=None if extension_scale is None else _from_first(steps) * extension_scale.mm_per_step,
        specimen=header.specimen,
        method=header.method,
        counts=counts,
        flags=_column(rows.flags),
        full_scale_counts=_full_scale(header.rig.sensor_bits),
        force_calibration=force_scale,
        extension_calibration=extension_scale,
        force_resolution_n=None
        if force_scale is None
        else _grain(counts, force_scale.kind) * abs(force_scale.n_per_count),
        extension_resolution_mm=None
        if extension_scale is None
        else _grain(steps, extension_scale.kind) * abs(extension_scale.mm_per_step),
        u_zero_n=_times(u_zero_counts, force_scale),
        marks=recording.marks,
        end_reason=recording.end.reason if recording.end else "",
        complete=recording.complete,
        simulated=header.simulated,
        date=header.recorded_at[:10],
        notes=tuple(_notes(recording, force_scale, extension_scale)),
    )


def _grain(column: IntArray, kind: str) -> float:
    """Smallest change a column can show: 1, or, of a quantity as printed, the smallest between two values."""
    if kind != PRINTED:
        return 1.0
    changes = np.diff(np.unique(column))
    return float(changes.min()) if len(changes) else 1.0


def _column(values: array[int]) -> IntArray:
    return np.array(values, dtype=np.int64)


def _from_first(column: IntArray) -> FloatArray:
    """Float before the difference: the ends of 64 bits are further apart than 64 bits."""
    return column.astype(np.float64) - (float(column[0]) if len(column) else 0.0)


def _force(counts: IntArray, zero_counts: float, scale: ForceCalibration) -> FloatArray:
    x = counts.astype(np.float64) - zero_counts
    return x * (scale.n_per_count + scale.n_per_count2 * x)


def _usable_force(scale: ForceCalibration | None) -> ForceCalibration | None:
    """The calibration, or None where it would make every force zero or too large for a number."""
    if scale is None:
        return None
    largest = float(2**64)
    with np.errstate(over="ignore"):
        extreme = np.float64(abs(scale.n_per_count)) * largest + np.float64(abs(scale.n_per_count2)) * largest**2
    return scale if scale.n_per_count != 0 and np.isfinite(extreme) else None


def _usable(scale: ExtensionCalibration | None) -> ExtensionCalibration | None:
    if scale is None or scale.mm_per_step == 0 or abs(scale.mm_per_step) > 1e280:
        return None
    return scale


def _zero(recording: Recording, counts: IntArray) -> tuple[float, float | None]:
    """The zero [count] and its standard uncertainty: the mean's, from the scatter of its readings."""
    started = next((mark.row for mark in recording.marks if mark.kind == "started"), None)
    zeroed = [m for m in recording.marks if m.kind == "zeroed" and _number(m, "counts") is not None]
    before = [m for m in zeroed if started is None or m.row <= started] or zeroed
    if before:
        mark = before[-1]
        return _number(mark, "counts") or 0.0, _u_mean(_number(mark, "sd_counts"), _number(mark, "n"))
    scale = recording.header.force_calibration
    own_zero = scale is not None and scale.kind == PRINTED
    return (0.0 if own_zero or not len(counts) else float(counts[0])), None


def _u_mean(sd: float | None, n: float | None) -> float | None:
    """Standard uncertainty of a mean, where the readings' number and scatter are known."""
    return None if sd is None or n is None or sd < 0 or n < 1 else sd / float(np.sqrt(n))


def _number(mark: Mark, key: str) -> float | None:
    found = mark.data.get(key)
    return float(found) if isinstance(found, int | float) and not isinstance(found, bool) else None


def _times(u_counts: float | None, scale: ForceCalibration | None) -> float | None:
    return None if u_counts is None or scale is None else u_counts * abs(scale.n_per_count)


def _full_scale(bits: int | None) -> int | None:
    """Largest reading of a two's complement amplifier with so many bits [count]."""
    return 2 ** (bits - 1) - 1 if bits is not None and 2 <= bits <= 63 else None


def _notes(
    recording: Recording, force_scale: ForceCalibration | None, extension_scale: ExtensionCalibration | None
) -> list[Note]:
    header, found = recording.header, list[Note]()
    for name, instead, scale in (
        ("force", "force", force_scale),
        ("extension", "position", extension_scale),
    ):
        if scale is None:
            found.append(
                ("uncalibrated", f"The recording has no usable {name} calibration, so there is no {name}.")
            )
        elif scale.kind == NOMINAL:
            found.append(("uncalibrated", f"The {instead} scale is the board's own claim: calibrate the rig."))
        elif overdue := _overdue(scale.due, header.recorded_at):
            found.append(("calibration_overdue", f"The {instead} calibration {overdue}."))
    if recording.altered:
        found.append(("altered", "The file does not fit its end line: it was changed after the pull."))
    return found + _gaps(recording)


def _overdue(due: str, recorded_at: str) -> str:
    """What is wrong with the due date of a calibration, or nothing."""
    if not due:
        return ""
    try:
        last, pulled = date.fromisoformat(due[:10]), date.fromisoformat(recorded_at[:10])
    except ValueError:
        return "has a due date, or the pull a date, that can't be read: check whether it was overdue"
    return f"was due on {last}, before this pull on {pulled}" if last < pulled else ""


def _gaps(recording: Recording) -> list[Note]:
    gaps = [mark for mark in recording.marks if mark.kind == "gap"]
    if not gaps:
        return []
    lost = sum(_number(mark, "lost") or 0 for mark in gaps)
    samples = "1 sample is" if lost == 1 else f"{lost:.0f} samples are"
    places = "one place" if len(gaps) == 1 else f"{len(gaps)} places"
    rows = ", ".join(str(mark.row) for mark in gaps[:3]) + (" …" if len(gaps) > 3 else "")
    return [("gap", f"{samples} missing in {places}, after row {rows}.")]
