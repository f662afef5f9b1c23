"""Results into tables: every quantity with its uncertainty or its reason, no formula, nothing overwritten."""

from __future__ import annotations

import csv
import errno
import importlib.util
import json
import os
import shutil
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from analysis.results import QUANTITIES
from recordings.reader import read_recording
from tests.tui.command_line import Cli, assert_one_sentence
from tui.analysing import analyse_file, analyse_with_strand
from tui.check.times import now
from tui.failure import CommandError
from tui.lab.plan import Group, Plan, next_strand, reject, with_pull
from tui.lab.shelf import keep
from tui.library import tables
from tui.library.export import Beside, export
from tui.library.index import demo_folder
from tui.library.rows import Extras, columns, row_of, row_without_result
from tui.library.tables import write_table
from tui.library.tags import keep_tags, tags_in

DEMO = sorted(demo_folder().glob("*.pull.csv"))


def quiet(_: int) -> None:
    """Nobody looks."""


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_the_numbers_in_a_table_are_those_of_the_analysis(cli: Cli, tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"results{ending}"
    said = cli("export", *DEMO, "--to", target)
    assert (said.status, said.out) == (0, "")
    frame = pd.read_csv(target, float_precision="round_trip") if ending == ".csv" else pd.read_excel(target)
    same = 0.0 if ending == ".csv" else 1e-14  # a spreadsheet's numbers have 15 digits
    assert list(frame.columns) == columns()
    assert list(frame["recording"]) == [path.name for path in DEMO]
    for (_, row), path in zip(frame.iterrows(), DEMO, strict=True):
        result, header = analyse_file(path).to_json(), read_recording(path).header
        assert row["outcome"] == result["outcome"]
        assert row["recorded_at"] == header.recorded_at
        assert row["gauge_length_mm"] == header.specimen.gauge_length_mm
        for name in QUANTITIES:
            found = result[name]
            if "value" in found:
                assert row[name] == pytest.approx(found["value"], rel=same, abs=0.0)
                assert row[f"u_{name}"] == pytest.approx(found["u"], rel=same, abs=0.0)
                assert pd.isna(row[f"{name}_not_measured"])
            else:
                assert pd.isna(row[name])
                assert row[f"{name}_not_measured"] == found["not_measured"]


def test_a_file_without_a_result_keeps_its_row_with_the_reason(cli: Cli, tmp_path: Path) -> None:
    bad = tmp_path / "bad.pull.csv"
    bad.write_bytes(b"junk")
    target = tmp_path / "results.csv"
    said = cli("export", bad, DEMO[0], "--to", target)
    assert said.status == 1
    assert "bad.pull.csv" in said.err
    with target.open(encoding="utf-8", newline="") as file:
        first, second = csv.DictReader(file)
    assert first["recording"] == "bad.pull.csv"
    assert first["problem"]
    assert not first["outcome"]
    assert second["outcome"]


def test_what_stands_beside_a_recording_stands_in_its_row(cli: Cli, tmp_path: Path) -> None:
    path = shutil.copy(DEMO[0], tmp_path)
    plan = Plan("Trial", now(), (Group("a", "dry"),), ("crown",), 3, 30.0)
    strand = next_strand(plan)
    assert strand is not None
    keep(reject(with_pull(plan, strand, str(path), now()), "it slipped in a clamp"))
    keep_tags(Path(path), tags_in("blue, #to do"))
    cli("export", path, "--to", tmp_path / "r.csv")
    with (tmp_path / "r.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert (row["set_aside"], row["tags"]) == ("it slipped in a clamp", "blue, to do")


@pytest.mark.parametrize("text", ["=1+1", "+A1", "-cmd", "@SUM(A1)", '=HYPERLINK("http://x")'])
def test_no_text_becomes_a_formula(tmp_path: Path, text: str) -> None:
    extras = Extras(tags=(text,))
    rows = [row_without_result(tmp_path / "x.pull.csv", "It is damaged.", extras)]
    write_table(rows, tmp_path / "t.csv")
    write_table(rows, tmp_path / "t.xlsx")
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert row["tags"] == f"'{text}"
    sheet = openpyxl.load_workbook(tmp_path / "t.xlsx").active
    assert sheet is not None
    cell = sheet.cell(2, columns().index("tags") + 1)
    assert (cell.data_type, cell.value) == ("s", text)


def test_escape_codes_and_control_signs_do_not_reach_a_table(tmp_path: Path) -> None:
    extras = Extras(notes=("\x1b[31mred\x07\x00", "two\nlines"))
    row = row_of(DEMO[0], analyse_with_strand(DEMO[0]), extras)
    assert row["notes"] == "red / two lines"
    write_table([row], tmp_path / "t.xlsx")


def test_nothing_is_overwritten(cli: Cli, tmp_path: Path) -> None:
    target = tmp_path / "r.csv"
    target.write_text("mine", encoding="utf-8")
    assert "not overwritten" in assert_one_sentence(cli("export", DEMO[0], "--to", target))
    assert target.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["r", "r.txt", "r.pull.json", "nowhere/r.csv"])
def test_a_target_that_is_none_is_said_before_anything_is_worked_out(cli: Cli, tmp_path: Path, name: str) -> None:
    assert_one_sentence(cli("export", DEMO[0], "--to", tmp_path / name))
    assert list(tmp_path.iterdir()) == []


def test_parquet_where_it_is_not_installed_is_a_sentence(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name, *a: None if name == "pyarrow" else find(name, *a))
    assert "pyarrow" in assert_one_sentence(cli("export", DEMO[0], "--to", tmp_path / "r.parquet"))


@pytest.mark.skipif(importlib.util.find_spec("pyarrow") is None, reason="pyarrow is not installed")
def test_parquet_says_the_same_as_csv(cli: Cli, tmp_path: Path) -> None:
    cli("export", *DEMO, "--to", tmp_path / "r.parquet")
    cli("export", *DEMO, "--to", tmp_path / "r.csv")
    parquet, text = pd.read_parquet(tmp_path / "r.parquet"), pd.read_csv(tmp_path / "r.csv")
    assert list(parquet["force_max_n"]) == list(text["force_max_n"])


def test_a_full_disk_is_a_sentence_and_leaves_nothing_behind(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(rows: object, path: Path) -> None:
        path.write_text("half", encoding="utf-8")
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setitem(tables.WRITERS, ".csv", full)
    assert "disk is full" in assert_one_sentence(cli("export", DEMO[0], "--to", tmp_path / "r.csv"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="permissions do not bind this user")
def test_a_folder_that_cannot_be_written_is_a_sentence(cli: Cli, tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        assert_one_sentence(cli("export", DEMO[0], "--to", tmp_path / "r.csv"))
    finally:
        tmp_path.chmod(0o700)


@pytest.mark.parametrize("count", [1, 4])
def test_a_figure_by_its_ending(tmp_path: Path, count: int) -> None:
    made = export(DEMO[:count], tmp_path / "f.svg", quiet)
    assert made.path.read_text(encoding="utf-8").lstrip().startswith("<?xml")


def test_no_figure_of_nothing(tmp_path: Path) -> None:
    (tmp_path / "bad.pull.csv").write_bytes(b"junk")
    with pytest.raises(CommandError, match="nothing to draw"):
        export([tmp_path / "bad.pull.csv"], tmp_path / "f.svg", quiet)
    assert not (tmp_path / "f.svg").exists()


def test_a_table_of_another_program_with_its_gauge_length(cli: Cli, tmp_path: Path) -> None:
    table = tmp_path / "strip.csv"
    result = analyse_file(DEMO[0])
    assert result.curve is not None
    curve = result.curve
    rows = [
        f"{0.3 * strain:.5f},{force:.5f}" for strain, force in zip(curve.strain_pct, curve.force_n, strict=True)
    ]
    table.write_text("Extension [mm],Load [N]\n" + "\n".join(rows), encoding="utf-8")
    cli("export", "--gauge-length-mm", 30, table, "--to", tmp_path / "r.csv")
    with (tmp_path / "r.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert float(row["gauge_length_mm"]) == 30.0
    assert row["outcome"]
    assert json.loads(json.dumps(row))["recording"] == "strip.csv"


def test_progress_is_told_file_by_file(tmp_path: Path) -> None:
    done: list[int] = []
    export(DEMO[:3], tmp_path / "r.csv", done.append, Beside({}, {}, {}))
    assert done == [1, 2, 3]
