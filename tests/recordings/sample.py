"""A small recording for the tests of the format: an invented strand, with every kind of line."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

from recordings.format import (
    ExtensionCalibration,
    ForceCalibration,
    Header,
    Method,
    RigInfo,
    Specimen,
)
from recordings.lines import COLUMN_LINE, encode_header
from recordings.writer import RecordingWriter

HEADER = Header(
    recorded_at="2026-11-25T10:00:00+01:00",
    simulated=True,
    software="strandbench 0.1.0",
    rig=RigInfo("bench two", board_id=7, sensor_bits=24, nominal_rate_hz=80),
    specimen=Specimen(30.0, reference="K-07", strand="3", history="invented, 'lightened'; \"twice\""),
    method=Method(speed_mm_min=18.0),
    force_calibration=ForceCalibration(1e-6, u_n_per_count=2e-9, kind="simulated"),
    extension_calibration=ExtensionCalibration(6.25e-4),
    simulation={"seed": 3, "faults": ["gap"], "scale": 1.0, "nested": {"a": None}},
)
ROWS = [(0, 8123, 0, 1), (12500, -8131, 16, 1), (25000, 8_388_607, 32, 65), (4_294_967_296_000, 2, -1, 2304)]


def named(reference: str, strand: str = "", recorded_at: str = HEADER.recorded_at) -> Header:
    """The header with another reference and strand."""
    return replace(
        HEADER, recorded_at=recorded_at, specimen=replace(HEADER.specimen, reference=reference, strand=strand)
    )


def write_small(path: Path) -> bytes:
    """A whole recording of four rows with marks before, between and after them; its bytes."""
    with RecordingWriter(path, HEADER) as writer:
        writer.mark("zeroed", data={"counts": 8100.25, "n": 80, "sd_counts": 30.5})
        writer.rows(*zip(*ROWS[:3], strict=True))
        writer.mark("note", t_us=25001, text='felt a # snap, "sharp"\r\nand a line\u2028 – Grüße')
        writer.rows(*zip(*ROWS[3:], strict=True))
        writer.mark("gap", data={"lost": 2})
        writer.finish("break")
    return path.read_bytes()


def with_rows(lines: bytes) -> bytes:
    """A recording without an end, with these bytes for its rows."""
    return encode_header(HEADER) + COLUMN_LINE + lines


def ended(lines: bytes, rows: int) -> bytes:
    """A recording with these bytes for its rows and the end line that fits them."""
    before = with_rows(lines)
    return before + b'# {"end": "key", "rows": %d, "sha256": "%s"}\n' % (
        rows,
        hashlib.sha256(before).hexdigest().encode(),
    )
