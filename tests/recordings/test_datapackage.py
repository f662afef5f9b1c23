"""A folder of recordings as a Data Package, held against the standard's reference implementation.

Data Package and Table Schema standards: datapackage.org; the validator is the `frictionless` library.
"""

from __future__ import annotations

import hashlib
import json
import re
import socket
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from recordings import demo
from recordings.datapackage import describe, main, write_package
from recordings.reader import RecordingError
from recordings.writer import RecordingWriter
from tests.recordings.sample import HEADER, ROWS, named, write_small

DEMO = Path(demo.__file__).parent


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    path = tmp_path / "Bench Two – demo"
    path.mkdir()
    write_small(path / "2026-11-25_K-07_3.pull.csv")
    with RecordingWriter(path / "2026-11-25_Grüße_4.pull.csv", named("Grüße", "4")) as writer:
        for mark in range(20):
            writer.mark("note", text='a # in, a "note","so')
            writer.rows(*zip(*((mark, *row[1:]) for row in ROWS), strict=True))
    return path


def validate(path: Path) -> Any:
    from frictionless import validate as reference

    return reference(str(path))


@pytest.fixture
def offline(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*arguments: object) -> None:
        raise OSError("no network in this test")

    monkeypatch.setattr(socket.socket, "connect", refused)
    monkeypatch.setattr(socket, "getaddrinfo", refused)


@pytest.mark.usefixtures("offline")
def test_the_reference_validator_accepts_a_folder(folder: Path) -> None:
    report = validate(write_package(folder))
    assert report.flatten(["type", "message"]) == []
    assert report.valid
    assert sorted((task.place, task.stats["rows"]) for task in report.tasks) == [
        ("2026-11-25_Grüße_4.pull.csv", 80),
        ("2026-11-25_K-07_3.pull.csv", 4),
    ]


@pytest.mark.usefixtures("offline")
def test_the_reference_validator_accepts_the_demo_recordings() -> None:
    if not list(DEMO.glob("*.pull.csv")):
        pytest.skip("there are no demo recordings yet")
    report = validate(DEMO / "datapackage.json")
    assert report.flatten(["type", "message"]) == []
    assert report.valid
    assert len(report.tasks) == len(list(DEMO.glob("*.pull.csv")))
    assert json.loads((DEMO / "datapackage.json").read_text(encoding="utf-8")) == describe(DEMO)


@pytest.mark.parametrize(
    ("old", "new", "error"),
    [(b"12500", b"12501", "hash-count"), (b"12500,", b"", "byte-count"), (b"16,1\n", b"16,x\n", "type-error")],
)
def test_the_reference_validator_notices_what_was_changed(folder: Path, old: bytes, new: bytes, error: str) -> None:
    package = write_package(folder)
    path = folder / "2026-11-25_K-07_3.pull.csv"
    path.write_bytes(path.read_bytes().replace(old, new))
    found = {kind for kind, _ in validate(package).flatten(["type", "message"])}
    assert error in found


@pytest.mark.usefixtures("offline")
def test_the_reference_reader_reads_the_numbers(folder: Path) -> None:
    from frictionless import Package

    package = Package(str(write_package(folder)))
    resource = next(r for r in package.resources if "k-07" in r.name)
    assert [tuple(row.to_dict().values()) for row in resource.read_rows()] == ROWS


def test_it_says_what_the_files_are(folder: Path) -> None:
    package: dict[str, Any] = json.loads(write_package(folder).read_text(encoding="utf-8"))
    assert package["simulated"] is True
    assert package["invented"] is True
    assert "invented" in package["description"]
    assert package["licenses"][0]["name"] == "MIT"
    assert package["sources"] == [{"title": "simulated rig “bench two”, strandbench 0.1.0"}]
    for resource in package["resources"]:
        assert re.fullmatch(r"[-a-z0-9._]+", resource["name"])
        data = (folder / resource["path"]).read_bytes()
        assert resource["bytes"] == len(data)
        assert resource["hash"] == "sha256:" + hashlib.sha256(data).hexdigest()
    assert re.fullmatch(r"[-a-z0-9._]+", package["name"])


def test_one_real_pull_among_them_and_nothing_is_invented(folder: Path) -> None:
    with RecordingWriter(folder / "real.pull.csv", replace(HEADER, simulated=False)):
        pass
    package = describe(folder)
    assert (package["simulated"], package["invented"]) == (False, False)
    assert "invented" not in str(package["description"])


def test_names_stay_apart(folder: Path) -> None:
    for name in ("Größe", "Grüße", "gr-e"):
        write_small(folder / f"{name}.pull.csv")
    package = write_package(folder)
    names = [resource["name"] for resource in json.loads(package.read_text(encoding="utf-8"))["resources"]]
    assert len(set(names)) == 5
    assert validate(package).valid


def test_it_is_the_same_each_time(folder: Path) -> None:
    first = write_package(folder).read_bytes()
    assert write_package(folder).read_bytes() == first


def test_bad_folders(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(RecordingError, match="has no recordings"):
        describe(tmp_path)
    (folder / "x.pull.csv").write_bytes(b"hello")
    assert main([str(folder)]) == 1
    assert capsys.readouterr().err.startswith("x.pull.csv does not start as a recording")
    assert not (folder / "datapackage.json").exists()


def test_the_command(folder: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "recordings.datapackage", str(folder)],
        capture_output=True,
        check=True,
        cwd=Path(__file__).resolve().parents[2],
    )
    assert done.stderr == b""
    assert (folder / "datapackage.json").exists()
