"""Spreadsheets: sheets, merged titles, numbers kept as text, formulas without results, damaged files."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Callable, Sequence
from datetime import datetime, time
from pathlib import Path

import pytest
from openpyxl import Workbook

from analysis.tables import files as table_files
from analysis.tables.read import TableError, preview_table, read_table
from analysis.trace import Trace

Rows = Sequence[Sequence[object]]
Save = Callable[..., Path]

PULL: list[list[object]] = [[0.5 * i, 0.125 * i, 0.0625 * i] for i in range(10)]
TITLES = ["Time (s)", "Extension (mm)", "Force (N)"]


@pytest.fixture
def save(tmp_path: Path) -> Save:
    def to_file(merged: str = "", name: str = "table.xlsx", **sheets: Rows) -> Path:
        book = Workbook()
        book.remove(book.active)
        for title, rows in sheets.items():
            sheet = book.create_sheet(title)
            for row in rows:
                sheet.append(row)
            if merged:
                sheet.merge_cells(merged)
        book.save(tmp_path / name)
        return tmp_path / name

    return to_file


def assert_the_pull(trace: Trace) -> None:
    for column, place in ((trace.time_s, 0), (trace.extension_mm, 1), (trace.force_n, 2)):
        assert column is not None
        assert column.tolist() == pytest.approx([row[place] for row in PULL])


def failure(path: Path, sheet: str | int | None = None) -> str:
    with pytest.raises(TableError) as error:
        read_table(path, sheet=sheet)
    assert str(error.value).isprintable()
    return str(error.value)


def test_a_sheet(save: Save) -> None:
    assert_the_pull(read_table(save(pull=[TITLES, *PULL])))


def test_the_name_says_nothing(save: Save) -> None:
    assert_the_pull(read_table(save(name="table.csv", pull=[TITLES, *PULL])))


def test_titles_and_units_apart_and_lines_above(save: Save) -> None:
    above: Rows = [["Report", None, None], ["Date", datetime(2026, 11, 25), None], ["Gauge length", 30, "mm"], []]
    rows = [*above, ["Time", "Extension", "Load"], ["s", "mm", "N"], *PULL]
    assert_the_pull(read_table(save(pull=rows)))


def test_a_merged_title_over_the_titles(save: Save) -> None:
    rows: Rows = [["Specimen 1", None, None], TITLES, *PULL]
    assert_the_pull(read_table(save(merged="A1:C1", pull=rows)))


def test_a_merged_title_holds_for_its_first_column(save: Save) -> None:
    rows: Rows = [["Time (s)", "Extension (mm)", "Force", None], [None, None, "N", "gf"]]
    pull = [[*row, 9.9] for row in PULL]
    assert_the_pull(read_table(save(merged="C1:D1", pull=[*rows, *pull])))


def test_numbers_kept_as_text(save: Save) -> None:
    rows = [[str(cell).replace(".", ",") for cell in row] for row in PULL]
    assert_the_pull(read_table(save(pull=[TITLES, *rows])))


def test_columns_beside_and_shifted(save: Save) -> None:
    rows: Rows = [
        [],
        [None, "Phase", *TITLES, None, "Remark"],
        *([None, "pull", *row, None, "late" if i == 3 else None] for i, row in enumerate(PULL)),
    ]
    assert_the_pull(read_table(save(pull=rows)))


def test_the_sheet_with_the_pull_is_found(save: Save) -> None:
    path = save(cover=[["Report of a pull"]], summary=[["Max force (N)", "n"], [0.5, 3]], pull=[TITLES, *PULL])
    assert_the_pull(read_table(path))
    preview = preview_table(path)
    assert (preview.sheet, preview.sheets) == ("pull", ("cover", "summary", "pull"))
    assert preview_table(path, sheet=1).problem != ""


def test_two_sheets_with_a_pull_must_be_told(save: Save) -> None:
    path = save(one=[TITLES, [0, 0, 0], [1, 1, 1]], two=[TITLES, *PULL])
    assert "Several sheets have a pull: “one”, “two”. Say which sheet." in failure(path)
    assert_the_pull(read_table(path, sheet="Two"))
    assert_the_pull(read_table(path, sheet=2))
    assert_the_pull(read_table(path, sheet="2"))
    assert "has no sheet “three”; it has “one”, “two”" in failure(path, sheet="three")
    with pytest.raises(TableError, match="no sheet"):
        preview_table(path, sheet=3)


@pytest.mark.parametrize(
    ("cell", "what"),
    [
        ("", "there is no number"),
        (None, "there is no number"),
        (True, "“True” is not a number"),
        ("#DIV/0!", "“#DIV/0!” is not a number"),
        (time(12, 30), "“12:30:00” is not a number"),
        ("=B5*2", "there is no number"),
    ],
)
def test_a_cell_that_is_no_number(save: Save, cell: object, what: str) -> None:
    rows = [list(row) for row in PULL]
    rows[3][2] = cell
    assert f"In row 5, “Force (N)” (column 3), {what}" in failure(save(pull=[TITLES, *rows]))


def test_formulas_without_stored_results(save: Save) -> None:
    rows = [[*row[:2], f"=B{i + 2}/2"] for i, row in enumerate(PULL)]
    assert "no force column" in failure(save(pull=[TITLES, *rows]))


def test_an_empty_workbook(save: Save) -> None:
    assert "no rows with two numbers" in failure(save(pull=[]))


@pytest.mark.parametrize("length", [4, 100, 1000, -100, -1])
def test_a_damaged_workbook(save: Save, tmp_path: Path, length: int) -> None:
    whole = save(pull=[TITLES, *PULL]).read_bytes()
    cut = tmp_path / "cut.xlsx"
    cut.write_bytes(whole[:length])
    assert "can't be read as a spreadsheet" in failure(cut)


def test_another_archive(tmp_path: Path) -> None:
    path = tmp_path / "notes.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("a.txt", "hello")
    assert "can't be read as a spreadsheet" in failure(path)


def test_an_old_or_protected_workbook(tmp_path: Path) -> None:
    path = tmp_path / "old.xls"
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500))
    assert "save it as .xlsx or CSV without a password" in failure(path)


def test_a_workbook_that_unpacks_to_too_much(save: Save, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table_files, "MAX_UNPACKED_BYTES", 1000)
    assert "too large when unpacked" in failure(save(pull=[TITLES, *PULL]))


def rewritten(path: Path, change: Callable[[str], str]) -> Path:
    """The workbook with the text of its sheet changed."""
    content = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(content, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, change(data.decode()).encode() if "sheet1.xml" in name else data)
    path.write_bytes(content.getvalue())
    return path


@pytest.mark.parametrize("number", ["9" * 400, "9" * 5000, "1e400", "-1E+400", "nan"])
def test_a_number_too_large_for_any_computer(save: Save, number: str) -> None:
    path = rewritten(save(pull=[TITLES, *PULL]), lambda text: text.replace("<v>0.1875</v>", f"<v>{number}</v>"))
    assert re.search(r"is not a number|can't be read", failure(path))


def test_a_false_size_of_the_sheet_is_ignored(save: Save) -> None:
    path = rewritten(
        save(pull=[TITLES, *PULL]), lambda text: re.sub(r'ref="[A-Z0-9:]+"', 'ref="A1:XFD1048576"', text, count=1)
    )
    assert_the_pull(read_table(path))


def test_a_row_far_beyond_any_spreadsheet_is_not_waited_for(save: Save) -> None:
    path = rewritten(save(pull=[TITLES, *PULL]), lambda text: text.replace('<row r="11"', '<row r="99999999999"'))
    trace = read_table(path)
    assert trace.force_n is not None
    assert len(trace.force_n) == len(PULL) - 1


def test_warnings_of_the_library_stay_inside(save: Save) -> None:
    path = save(pull=[TITLES, *PULL])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert_the_pull(read_table(path))
