"""`strandbench compare` on recordings made here: groups, wet and dry apart, bad input in one sentence."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from recordings.format import ExtensionCalibration, ForceCalibration, Header, Method, RigInfo, Specimen
from recordings.writer import RecordingWriter
from tests.tui.command_line import Cli

N_PER_COUNT, MM_PER_STEP = 3e-7, 1 / 800
GAUGE_MM = 30.0


def record(path: Path, break_pct: float, yield_n: float, specimen: Specimen) -> None:
    """A pull of a strand with a known break, as a rig would have recorded it."""
    header = Header(
        recorded_at="2026-11-25T10:00:00+00:00",
        simulated=True,
        software="test",
        rig=RigInfo("test rig", sensor_bits=24),
        specimen=specimen,
        method=Method(speed_mm_min=18),
        force_calibration=ForceCalibration(N_PER_COUNT, kind="simulated"),
        extension_calibration=ExtensionCalibration(MM_PER_STEP, kind="simulated"),
    )
    strain = np.arange(0, break_pct + 4, 0.06)
    force = np.interp(strain, [0, 2.2, 28, 60], [0, yield_n, 1.2 * yield_n, 3.2 * yield_n])
    force[strain > break_pct] = 0.0
    noise = np.random.default_rng(int(100 * break_pct)).normal(0, 100, len(strain))
    counts = np.rint(force / N_PER_COUNT + noise).astype(int) + 5000
    steps = np.rint(strain / 100 * GAUGE_MM / MM_PER_STEP).astype(int)
    with RecordingWriter(path, header) as writer:
        writer.mark("zeroed", data={"counts": 5000, "n": 80, "sd_counts": 100})
        writer.rows(range(0, 60_000 * len(strain), 60_000), counts.tolist(), steps.tolist(), [1] * len(strain))
        writer.finish("break")


@pytest.fixture(scope="module")
def pulls(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pulls")
    dry = Specimen(GAUGE_MM, reference="head-A", condition="dry", diameter_um=70)
    for i, at in enumerate((41.0, 44.0, 38.0, 47.0, 40.0)):
        record(folder / f"virgin-{i}.pull.csv", at, 0.33, replace(dry, history="virgin"))
    for i, at in enumerate((18.0, 22.0, 15.0, 20.0, 17.0)):
        record(folder / f"over-{i}.pull.csv", at, 0.15, replace(dry, history="over-processed"))
    record(folder / "wet-0.pull.csv", 55.0, 0.15, replace(dry, history="virgin", condition="wet"))
    return folder


def files(folder: Path, pattern: str) -> list[str]:
    return [str(path) for path in sorted(folder.glob(pattern))]


def test_groups_by_history_recover_the_breaks_and_differ(cli: Cli, pulls: Path) -> None:
    done = cli("compare", "--json", *files(pulls, "virgin*"), *files(pulls, "over*"))
    assert done.status == 0
    report = json.loads(done.out)
    groups = {group["name"]: group for group in report["groups"]}
    assert groups["virgin"]["mean_pct"]["value"] == pytest.approx(42.0, abs=0.1)
    assert groups["over-processed"]["mean_pct"]["value"] == pytest.approx(18.4, abs=0.1)
    assert groups["over-processed"]["meets"] in {1, 2}
    elongation = next(c for c in report["comparisons"] if c["quantity"] == "elongation_at_break_pct")
    assert elongation["found"]["p"] == pytest.approx(2 / 252)


def test_wet_and_dry_are_never_pooled(cli: Cli, pulls: Path) -> None:
    done = cli("compare", "--json", *files(pulls, "virgin*"), *files(pulls, "wet*"))
    names = {group["name"] for group in json.loads(done.out)["groups"]}
    assert names == {"virgin, dry", "virgin, wet"}
    mixed = cli("compare", "--group", "all", *files(pulls, "virgin*"), *files(pulls, "wet*"))
    assert mixed.status != 0
    assert "mixes wet and dry" in mixed.err


def test_a_person_reads_it(cli: Cli, pulls: Path) -> None:
    done = cli("compare", *files(pulls, "virgin*"), *files(pulls, "over*"))
    assert "5 of 5 strands reached the guideline of 20 %" in " ".join(done.out.split())
    assert "more than chance explains" in done.out
    assert "against" in done.out


def test_figures_are_written(cli: Cli, pulls: Path, tmp_path: Path) -> None:
    overlay, marks = tmp_path / "wall.pdf", tmp_path / "strands.png"
    paths = [*files(pulls, "virgin*"), *files(pulls, "over*")]
    assert cli("compare", *paths, "--figure", str(overlay), "--strand-figure", str(marks)).status == 0
    assert overlay.read_bytes().startswith(b"%PDF")
    assert marks.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "Name recordings"),
        (("--group", "a"), "has no files"),
        (("--figure", "x.bmp", "a.csv"), "saved as .png"),
        (("no such file.csv",), "no such file.csv"),
    ],
)
def test_bad_input_is_one_sentence(cli: Cli, arguments: tuple[str, ...], says: str) -> None:
    done = cli("compare", *arguments)
    assert done.status != 0
    assert says in done.err
    assert len(done.err.strip().splitlines()) == 1


def test_a_group_of_one_says_what_is_missing(cli: Cli, pulls: Path) -> None:
    done = cli("compare", *files(pulls, "wet*"))
    assert done.status == 0
    assert "too few for a result" in " ".join(done.out.split())
