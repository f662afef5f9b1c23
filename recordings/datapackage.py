"""Describes a folder of recordings as a Frictionless Data Package: `python -m recordings.datapackage FOLDER`.

Owns `datapackage.json`: what the files are, their columns, sizes and checksums. Reads recordings, changes none.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import re
import sys
from collections.abc import Sequence
from pathlib import Path

from recordings.format import SUFFIX, JsonValue, Recording
from recordings.reader import RecordingError, read_recording
from recordings.text import shown

FILE_NAME = "datapackage.json"
#: Open Definition identifier of the licence of this project, which its demo recordings share.
LICENCE = "MIT"
LICENCE_PATH = "https://opensource.org/license/mit"
SIMULATED = "Made by the simulated rig of strandbench: every strand, person and place in it is invented."
MEASURED = "Made by a rig."
#: The titles of the columns stand in the second line, below the header of the recording.
DIALECT: dict[str, JsonValue] = {"delimiter": ",", "header": True, "headerRows": [2], "commentChar": "#"}
FIELDS: list[JsonValue] = [
    {"name": name, "title": title, "type": "integer", "description": text, "constraints": {"required": True}}
    for name, title, text in (
        ("t_us", "time [µs]", "Board time, unwrapped, in microseconds."),
        (
            "counts",
            "force reading [count]",
            "Raw reading of the force amplifier; the calibration is in the first line.",
        ),
        ("steps", "position [step]", "Motor steps, positive in the stretching direction."),
        ("flags", "flags", "Low byte: what is true now; high byte: the latched stop reason."),
    )
]


def describe(folder: Path) -> dict[str, JsonValue]:
    """Describe all recordings of a folder. Raises RecordingError, also where there is none."""
    paths = sorted(path for path in folder.glob(f"*{SUFFIX}") if path.is_file())
    if not paths:
        raise RecordingError(f"{shown(folder)} has no recordings (*{SUFFIX}): name the folder that holds them.")
    found = [(path, read_recording(path)) for path in paths]
    simulated = all(recording.header.simulated for _, recording in found)
    name = _slug(folder.resolve().name)
    return {
        "name": name,
        "title": f"Strand pulls: {name}",
        "description": f"Pulls of strands of hair, one file each. {SIMULATED if simulated else MEASURED}",
        "created": max(recording.header.recorded_at for _, recording in found),
        "keywords": ["hair", "tensile test", *(["simulated", "invented"] if simulated else [])],
        "simulated": simulated,
        "invented": simulated,
        "licenses": [{"name": LICENCE, "path": LICENCE_PATH}],
        "sources": [{"title": text} for text in _sources(found)],
        "resources": _resources(found),
    }


def write_package(folder: Path) -> Path:
    """Write `datapackage.json` into the folder, in the place of an older one. Raises RecordingError or OSError."""
    text = json.dumps(describe(folder), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    path = folder / FILE_NAME
    path.write_text(text, encoding="utf-8", newline="\n")
    return path


def _sources(found: list[tuple[Path, Recording]]) -> list[str]:
    """Which rigs, with which software."""
    headers = [recording.header for _, recording in found]
    kinds = {(header.simulated, header.rig.name, header.software) for header in headers}
    return [
        f"{'simulated rig' if simulated else 'rig'} “{shown(name)}”, {shown(software)}"
        for simulated, name, software in sorted(kinds)
    ]


def _resources(found: list[tuple[Path, Recording]]) -> list[JsonValue]:
    """One entry a recording; a counter keeps names apart that differ only in what the standard does not allow."""
    names: list[str] = []
    for path, _ in found:
        name = plain = _slug(path.name.removesuffix(SUFFIX))
        while name in names:
            name = f"{plain}-{len(names)}"
        names.append(name)
    return [_resource(name, path, recording) for name, (path, recording) in zip(names, found, strict=True)]


def _resource(name: str, path: Path, recording: Recording) -> dict[str, JsonValue]:
    data, specimen = path.read_bytes(), recording.header.specimen
    about = [specimen.reference, f"strand {specimen.strand}" if specimen.strand else "", specimen.zone]
    details = ", ".join(filter(None, [*about, specimen.history, specimen.condition]))
    return {
        "name": name,
        "type": "table",
        "title": shown(details or path.name, 200),
        "path": path.name,
        "scheme": "file",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(data),
        "hash": f"sha256:{hashlib.sha256(data).hexdigest()}",
        "simulated": recording.header.simulated,
        "dialect": DIALECT,
        "schema": {"fields": FIELDS},
    }


def _slug(text: str) -> str:
    """A name as the Data Package standard wants it: small letters, digits, and `-`, `_`, `.`."""
    return re.sub(r"[^a-z0-9._]+", "-", text.lower()).strip("-.") or "recordings"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; 0 when the file was written."""
    parser = argparse.ArgumentParser(
        prog="python -m recordings.datapackage", description=f"Write {FILE_NAME} for a folder of recordings."
    )
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="folder of recordings")
    folder: Path = parser.parse_args(arguments).folder
    try:
        path = write_package(folder)
    except (RecordingError, OSError) as error:
        sys.stderr.write(f"{shown(error, 500)}\n")
        return 1
    sys.stdout.write(f"{path}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
