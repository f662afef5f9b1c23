"""The index of a folder: damaged files among good ones, what changed is read again, a damaged index is no loss."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tui.library import index as module
from tui.library.index import Progress, demo_folder, index, name_of
from tui.library.item import Item, from_line, to_line
from tui.library.search import findable, matching, values_of, with_word
from tui.store.place import path_of


def never() -> bool:
    return False


def all_of(folder: Path, cancelled: Callable[[], bool] = never) -> Progress:
    *_, last = index(folder, cancelled)
    return last


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three good recordings, and files that are none though their names say so."""
    for path in sorted(demo_folder().glob("head-A_virgin_*.pull.csv"))[:3]:
        shutil.copy(path, tmp_path)
    good = sorted(tmp_path.glob("*.pull.csv"))[0].read_bytes()
    (tmp_path / "a-empty.pull.csv").write_bytes(b"")
    (tmp_path / "b-junk.pull.csv").write_bytes(b"\x00\xff" * 400)
    (tmp_path / "c-header.pull.csv").write_bytes(good[:300])
    (tmp_path / "d-body.pull.csv").write_bytes(good.replace(b"\n0,", b"\nx,", 1)[:-200] + b"nonsense\n")
    (tmp_path / "e-cut.pull.csv").write_bytes(good[: len(good) // 2])
    (tmp_path / "f-folder.pull.csv").mkdir()
    (tmp_path / "g-[red]\x1b[31m.pull.csv").write_bytes(b"no")
    return tmp_path


def test_damaged_files_stand_among_good_ones_with_a_sentence(folder: Path) -> None:
    items = {item.name: item for item in all_of(folder).items}
    assert len(items) == 9
    good = [item for name, item in items.items() if name.startswith("head")]
    assert [item.outcome for item in good] == ["broke"] * 3
    assert all(item.verdict == "meets" and item.elongation_pct and item.u_pct for item in good)
    for name in ("a-empty", "b-junk", "c-header", "d-body"):
        assert items[name].problem.endswith(".")
        assert not items[name].verdict
    assert items["e-cut"].outcome
    assert not items["e-cut"].problem
    assert items["g-[red]"].problem
    assert all("\x1b" not in item.name + item.problem for item in items.values())


def test_what_is_known_is_not_read_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = all_of(folder)

    def refuse(*_: object) -> Item:
        raise AssertionError("it was read again")

    monkeypatch.setattr(module, "head_of", refuse)
    monkeypatch.setattr(module, "with_result", refuse)
    assert all_of(folder).items == first.items


def test_a_file_that_changed_or_came_or_went_is_seen(folder: Path) -> None:
    all_of(folder)
    good = sorted(folder.glob("head*"))
    (folder / "a-empty.pull.csv").write_bytes(good[0].read_bytes())
    shutil.copy(good[0], folder / "z-new.pull.csv")
    good[1].unlink()
    os.utime(good[2], ns=(1, 1))
    items = {item.name: item for item in all_of(folder).items}
    assert items["a-empty"].outcome == items["z-new"].outcome == "broke"
    assert good[1].name.removesuffix(".pull.csv") not in items
    assert items[good[2].name.removesuffix(".pull.csv")].outcome == "broke"


def test_results_of_another_version_are_worked_out_anew(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    all_of(folder)
    monkeypatch.setattr("tui.version.version", lambda: "9.9")
    assert {item.software for item in all_of(folder).items if item.outcome} == {"9.9"}


def test_a_cancelled_reading_keeps_what_it_has_and_goes_on_later(folder: Path) -> None:
    calls = iter(range(100))
    list(index(folder, lambda: next(calls) >= 2))
    assert path_of(name_of(folder), ".json").exists()
    assert all(item.has_result for item in all_of(folder).items)


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"version": 1, "value": {"lines": {"x": "junk"}}}', '{"version": 99}']
)
def test_a_damaged_index_is_made_anew(folder: Path, text: str) -> None:
    first = all_of(folder)
    path_of(name_of(folder), ".json").write_text(text, encoding="utf-8")
    assert all_of(folder).items == first.items


@pytest.mark.parametrize("line", ["", "[]", "null", "{}", "[1, 2]", "[" * 9999])
def test_a_kept_line_that_is_none_is_left(line: str) -> None:
    assert from_line(line) is None


def test_a_kept_line_comes_back_whole() -> None:
    item = Item("/a/ü.pull.csv", "ü", "1-2", recorded_at="2026", simulated=True, elongation_pct=41.25, u_pct=None)
    assert from_line(to_line(item)) == item


def test_a_folder_that_is_none_is_empty_and_one_that_cannot_be_read_is_said(tmp_path: Path) -> None:
    assert all_of(tmp_path / "nowhere") == Progress((), 0)
    (tmp_path / "file").write_text("x", encoding="utf-8")
    assert all_of(tmp_path / "file").problem


def some() -> list[Item]:
    return [
        Item("1", "one", "", zone="crown", history="lightened", condition="dry", verdict="below", outcome="broke"),
        Item(
            "2", "two", "", zone="left side", history="untreated", condition="wet", verdict="meets", simulated=True
        ),
        Item("3", "three", "", problem="It is damaged."),
        Item("4", "four", "", reference='H"1', outcome="clamp_break"),
    ]


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ("", ["one", "two", "three", "four"]),
        ("  ", ["one", "two", "three", "four"]),
        ("CROWN", ["one"]),
        ("dry below", ["one"]),
        ("dry meets", []),
        ("zone:left", ["two"]),
        ('zone:"left side"', ["two"]),
        ("-wet", ["one", "three", "four"]),
        ("-", ["one", "two", "three", "four"]),
        ("simulated:simulated", ["two"]),
        ("damaged:damaged", ["three"]),
        ("tag:blue", ["one"]),
        ("#blue", []),
        ("blue", ["one"]),
        ("remembered", ["two"]),
        ("rejected", ["four"]),
        ("outcome:broke", ["one", "four"]),
        ('outcome:"broke"', ["one"]),
        ('outcome:"broke at the clamp"', ["four"]),
        ('reference:h"1', ["four"]),
        ('"', ["one", "two", "three", "four"]),
        ("what:ever", []),
        ("🦄", []),
    ],
)
def test_a_query_finds(query: str, names: list[str]) -> None:
    one, two, three, four = some()
    found = [
        findable(one, tags=("Blue",)),
        findable(two, notes=["to be remembered"]),
        findable(three),
        findable(four, aside="it slipped"),
    ]
    assert [each.item.name for each in matching(found, query)] == names


def test_every_value_that_is_offered_finds_as_many_as_it_says() -> None:
    found = [findable(item, tags=("a b", "c")) for item in some()]
    offered = values_of(found)
    assert {field for field, _, _ in offered} >= {"zone", "history", "tag", "damaged", "reference"}
    for field, value, count in offered:
        assert len(matching(found, with_word("", field, value))) == count
