"""The first line of a recording, from what is known before the pull. Pure, but for the program's version."""

from __future__ import annotations

from datetime import datetime

from recordings.format import Header, JsonValue, Method, RigInfo, Specimen
from rig.calibration_store import Calibrations
from rig.facts import RigFacts


def header_of(
    facts: RigFacts,
    port: str,
    calibrations: Calibrations,
    specimen: Specimen,
    method: Method,
    recorded_at: datetime,
    simulation: dict[str, JsonValue],
) -> Header:
    """The header of a pull on a rig that speaks the wire."""
    rig = RigInfo(
        name=facts.name,
        board_id=facts.board_id,
        firmware=facts.firmware,
        boot_count=facts.boot_count,
        sensor_bits=facts.sensor_bits,
        nominal_rate_hz=facts.rate_hz,
        force_range_n=facts.force_range_n,
        port=port,
    )
    return Header(
        recorded_at=_moment(recorded_at),
        simulated=facts.simulated,
        software=software(),
        rig=rig,
        specimen=specimen,
        method=method,
        force_calibration=calibrations.force,
        extension_calibration=calibrations.extension,
        simulation=simulation if facts.simulated else {},
    )


def header_of_lines(
    port: str,
    columns: str,
    calibrations: Calibrations,
    specimen: Specimen,
    method: Method,
    recorded_at: datetime,
) -> Header:
    """The header of a pull on a board that only prints lines: it says nothing of itself."""
    return Header(
        recorded_at=_moment(recorded_at),
        simulated=False,
        software=software(),
        rig=RigInfo(name="board that prints lines", port=port, line_columns=columns),
        specimen=specimen,
        method=method,
        force_calibration=calibrations.force,
        extension_calibration=calibrations.extension,
    )


def software() -> str:
    """This program and its version."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return f"strandbench {version('strandbench')}"
    except PackageNotFoundError:
        return "strandbench, not installed"


def _moment(when: datetime) -> str:
    return when.isoformat(timespec="seconds")
