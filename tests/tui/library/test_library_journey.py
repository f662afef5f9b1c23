"""The library in the app by keys alone: found as it is typed, compared, tagged, exported; tables imported."""

from __future__ import annotations

import shutil
from pathlib import Path

import openpyxl
import pytest
from textual import events
from textual.widgets import Input

from tests.tui.driver import Driver, running
from tui.analysing import analyse_file
from tui.library.imports import all_imports
from tui.library.index import demo_folder
from tui.library.tags import all_tags
from tui.widgets.field import LONGEST_TEXT
from tui.widgets.menu import Menu
from tui.widgets.row_list import RowList
from tui.widgets.verdict_card import VerdictCard


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two recordings and a damaged one."""
    own = tmp_path / "own"
    own.mkdir()
    for name in ("head-A_virgin_crown_1", "head-A_lightened_crown_1"):
        shutil.copy(demo_folder() / f"{name}.pull.csv", own)
    (own / "z-damaged.pull.csv").write_bytes(b"junk \x1b[2J")
    return own


def text(person: Driver, name: str) -> str:
    return str(person.app.screen.query_one(name).render())


def titles(person: Driver) -> list[str]:
    return [entry.key for entry in person.app.screen.query_one(Menu)._entries if not entry.heading]


async def to_library(person: Driver) -> None:
    await person.choose("library")
    await person.until_screen("LibraryScreen")
    await person.until(lambda: bool(person.app.library.shelves.demo) and not person.app.library.shelves.waiting)


async def test_found_as_it_is_typed_and_opened(folder: Path) -> None:
    async with running(folder, size=(80, 24)) as person:
        await to_library(person)
        entries = person.app.screen.query_one(Menu)._entries
        damaged = next(entry for entry in entries if "z-damaged" in entry.key)
        assert damaged.about.startswith("damaged: ")
        assert "\x1b" not in damaged.title + damaged.about
        everything = len(titles(person))
        await person.press(*"lightened")
        await person.until(lambda: 0 < len(titles(person)) < everything)
        assert all("lightened" in key for key in titles(person))
        await person.fill("search", "")
        person.app.screen.query_one(Input).value = "lightened 🦄"
        await person.until(lambda: titles(person) == [])
        assert "No recording fits" in text(person, "#count")
        await person.press("end", "backspace", "backspace")
        await person.until(lambda: titles(person) != [])
        await person.press("enter")
        await person.until_screen("ResultScreen")
        await person.until(lambda: any(view.card for view in person.app.screen.query(VerdictCard)))
        await person.press("l")
        await person.until_screen("LibraryScreen")
        assert person.app.screen.query_one(Input).value == "lightened"


async def test_ten_megabytes_pasted_do_no_harm(folder: Path) -> None:
    async with running(folder) as person:
        await to_library(person)
        person.app.screen.query_one(Input).post_message(events.Paste("x" * 10_000_000))
        await person.pilot.pause()
        assert len(person.app.screen.query_one(Input).value) <= LONGEST_TEXT
        await person.fill("search", "crown")
        await person.until(lambda: 0 < len(titles(person)) < len(person.app.library.shelves.all))


async def test_a_filter_is_chosen_from_what_there_is(folder: Path) -> None:
    async with running(folder) as person:
        await to_library(person)
        await person.press("f4")
        await person.until_screen("LibraryFilterScreen")
        await person.choose("verdict\nbelow")
        await person.until_screen("LibraryScreen")
        assert person.app.screen.query_one(Input).value == 'verdict:"below"'
        assert all("over-processed" in key for key in titles(person))
        await person.press("f4")
        await person.until_screen("LibraryFilterScreen")
        await person.press("enter")
        await person.until_screen("LibraryScreen")
        assert person.app.library.query == ""


async def test_two_are_marked_and_compared(folder: Path) -> None:
    async with running(folder, size=(120, 40)) as person:
        await to_library(person)
        await person.press("f7")
        assert "Mark two" in person.notice
        await person.press("down", "f6", "f6", "f7")
        await person.until_screen("LibraryPairScreen")
        table = person.app.screen.query_one(RowList)
        await person.until(lambda: table.size.height > 3)
        rows = ["".join(span.text for span in table.row(y)) for y in range(table.size.height)]
        (elongation,) = [row for row in rows if "elongation at break" in row]
        first, second = (analyse_file(Path(path)) for path in person.app.library.marked)
        values = [one.elongation_at_break_pct.to_json()["value"] for one in (first, second)]
        assert f"{values[1] - values[0]:+.1f}"[:4] in elongation
        assert "±" in elongation


async def test_a_pair_with_a_damaged_one_is_a_sentence(folder: Path) -> None:
    async with running(folder) as person:
        await to_library(person)
        await person.press("f6", "f6", "f7")
        await person.until_screen("LibraryPairScreen")
        await person.until(lambda: "gives no result" in person.notice and person.complained)


async def test_tags_are_kept_found_and_taken_away(folder: Path) -> None:
    async with running(folder) as person:
        await to_library(person)
        await person.press(*"virgin_crown_1", "f8")
        await person.until_screen("LibraryTagsScreen")
        await person.fill("tags", ", ".join(map(str, range(20))))
        await person.press("enter")
        assert "at most" in text(person, ".field-hint")
        await person.fill("tags", "#to do, blue")
        await person.press("enter")
        await person.until_screen("LibraryScreen")
        assert all_tags()["head-A_virgin_crown_1.pull.csv"] == ("to do", "blue")
        await person.fill("search", "tag:blue")
        await person.until(
            lambda: len(titles(person)) == 2
        )  # the copy, and the demonstration recording of its name
        await person.press("f8")
        await person.until_screen("LibraryTagsScreen")
        await person.fill("tags", "")
        await person.press("enter")
        await person.until_screen("LibraryScreen")
        assert all_tags() == {}


async def test_what_is_shown_is_exported_with_its_damaged_file(folder: Path) -> None:
    async with running(folder) as person:
        await to_library(person)
        await person.press("f9")
        await person.until_screen("LibraryExportScreen")
        for name, said in (("", "Type a file name"), ("r.doc", "ending"), ("/no/where/r.csv", "no /no/where")):
            await person.fill("file", name)
            await person.press("enter")
            assert said in text(person, ".field-hint")
        await person.fill("file", str(folder / "r.xlsx"))
        await person.press("enter")
        await person.until(lambda: "1 gave no result" in person.notice)
        sheet = openpyxl.load_workbook(folder / "r.xlsx").active
        assert sheet is not None
        assert sheet.max_row == 1 + 3
        await person.press("enter")
        assert "not overwritten" in text(person, ".field-hint")


def write_table(path: Path, titles_line: str) -> None:
    """A curve of a demonstration recording as another program might have written it, decimal commas and all."""
    curve = analyse_file(sorted(demo_folder().glob("head-A_virgin_crown_1*"))[0]).curve
    assert curve is not None
    points = zip(curve.strain_pct, curve.force_n, strict=True)
    rows = [
        f"{i / 40:.3f};{0.3 * strain:.5f};{force:.5f}".replace(".", ",") for i, (strain, force) in enumerate(points)
    ]
    path.write_text("\n".join([titles_line, *rows]), encoding="utf-8")


async def test_a_table_is_imported_with_its_columns_and_stays_in_the_library(folder: Path) -> None:
    table = folder.parent / "bench 7.csv"
    write_table(table, "a;b;c")
    before = table.read_bytes()
    async with running(folder, size=(80, 24)) as person:
        await to_library(person)
        await person.press("f10")
        await person.until_screen("ImportFileScreen")
        await person.press("enter")
        assert "Type the name" in text(person, ".field-hint")
        await person.fill("file", str(folder / "nothing.csv"))
        await person.press("enter")
        await person.until(lambda: person.complained)
        await person.fill("file", str(table))
        await person.press("enter")
        await person.until_screen("ImportColumnsScreen")
        rows = person.app.screen.query_one(RowList)
        await person.until(lambda: rows.size.height > 2)
        assert "0.025" in "".join(span.text for y in range(rows.size.height) for span in rows.row(y))
        await person.press("enter")
        await person.until(lambda: person.complained)
        await point(person, "force", 2)
        await point(person, "extension", 2)
        await person.press("enter")
        await person.until(lambda: "same column" in person.notice)
        await point(person, "extension", 1)
        await person.fill("force_unit", "parsec")
        await person.fill("extension_unit", "mm")
        await person.press("enter")
        await person.until(lambda: "parsec" in person.notice)
        await person.fill("force_unit", "N")
        await person.press("enter")
        await person.until_screen("ImportStrandScreen")
        await person.fill("gauge", "1e9")
        await person.press("enter")
        assert person.screen == "ImportStrandScreen"
        await person.fill("gauge", "30")
        await person.press("enter")
        await person.until_screen("ResultScreen")
        await person.until(lambda: any(view.card for view in person.app.screen.query(VerdictCard)))
        await person.press("l")
        await person.until_screen("LibraryScreen")
        await person.until(lambda: any("bench 7" in found.item.name for found in person.app.library.shelves.own))
        await person.fill("search", "imported bench")
        await person.until(lambda: len(titles(person)) == 1)
    assert table.read_bytes() == before
    (kept,) = all_imports()
    assert (kept.force, kept.extension, kept.time, kept.gauge_length_mm) == ("3 [N]", "2 [mm]", None, 30.0)


async def point(person: Driver, choice: str, option: int) -> None:
    """Choose an option of a choice by the arrow keys."""
    from tui.widgets.choice import Choice

    found = person.app.screen.query_one(f"#{choice}", Choice)
    found.focus()
    while found.number != option:
        await person.press("right")
