"""`strandbench card` as its user meets it: the whole card without a rig, and every mistake a sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.tui.command_line import Cli, assert_one_sentence

CODE = ("--by", "B7")


def test_a_card_is_opened_filled_shown_listed_and_exported(cli: Cli, tmp_path: Path) -> None:
    assert cli("card", "new", "HK-204", *CODE, "--history", "lightened twice").status == 0
    assert "can be read from" in cli("card", "start", "HK-204", "skin", *CODE, "--product", "Colour 7/1").out
    assert cli("card", "record", "hk-204", "porosity", "porous", *CODE).status == 0
    assert cli("card", "record", "HK-204", "skin", "itching", "--by", "C3").status == 0
    shown = cli("card", "show", "HK-204").out
    assert "Do not proceed" in shown
    assert "Colour 7/1" in shown
    plain = json.loads(cli("card", "show", "HK-204", "--json").out)
    assert plain["card"]["history"] == "lightened twice"
    assert [test["state"] for test in plain["tests"]] == ["heed", "open", "open", "stop"]
    (listed,) = json.loads(cli("card", "list", "--json").out)
    assert listed["do_not_proceed"] is True
    files = [tmp_path / f"page.{ending}" for ending in ("pdf", "html", "json")]
    arguments = [part for path in files for part in (f"--{path.suffix[1:]}", path)]
    assert cli("card", "export", "HK-204", *arguments).status == 0
    assert files[0].read_bytes().startswith(b"%PDF-")
    assert files[1].read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert json.loads(files[2].read_text(encoding="utf-8"))["do_not_proceed"] is True


def test_an_empty_shelf_is_a_list_and_a_hint(cli: Cli) -> None:
    assert json.loads(cli("card", "list", "--json").out) == []
    said = cli("card", "list")
    assert said.status == 0
    assert "card new" in said.err


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["new", "Anna Smith", *CODE], "name"),
        (["new", "HK-205", "--by", "Anna Smith"], "name"),
        (["new", "", *CODE], "code"),
        (["new", "x" * 100_000, *CODE], "characters"),
        (["new", "HK-205", *CODE, "--history", "x" * 100_000], "characters"),
        (["show", "nobody"], "list"),
        (["show", "\x1b[2J[bold]"], "list"),
        (["record", "HK-204", "skin", "itching", *CODE], "Start the test first"),
        (["record", "HK-204", "porosity", "\x1b[2Jsoft", *CODE], "good, porous"),
        (["record", "HK-204", "porosity", "-1", *CODE], "good, porous"),
        (["record", "HK-204", "elasticity", "meets", *CODE], "rig"),
        (["start", "HK-204", "porosity", *CODE], "choose"),
        (["export", "HK-204"], "--pdf"),
        (["export", "HK-204", "--json", "/no/such/folder/x.json"], "/no/such/folder"),
        ([], "help"),
    ],
)
def test_a_mistake_is_one_sentence_and_changes_nothing(cli: Cli, arguments: list[str], word: str) -> None:
    cli("card", "new", "HK-204", *CODE)
    before = cli("card", "list", "--json").out
    said = cli("card", *arguments)
    assert word in assert_one_sentence(said)
    assert json.loads(cli("card", "list", "--json").out) == json.loads(before)


def test_a_page_that_is_there_is_not_overwritten(cli: Cli, tmp_path: Path) -> None:
    cli("card", "new", "HK-204", *CODE)
    there = tmp_path / "x.json"
    there.write_text("mine", encoding="utf-8")
    assert "not overwritten" in assert_one_sentence(cli("card", "export", "HK-204", "--json", there))
    assert there.read_text(encoding="utf-8") == "mine"


def test_a_running_test_is_begun_anew_only_when_that_is_said(cli: Cli) -> None:
    cli("card", "new", "HK-204", *CODE)
    cli("card", "start", "HK-204", "incompatibility", *CODE)
    assert "running already" in assert_one_sentence(cli("card", "start", "HK-204", "incompatibility", *CODE))
    assert cli("card", "start", "HK-204", "incompatibility", *CODE, "--again").status == 0
