"""A person's work survives: every step is on the disk before it counts, whatever ends the program."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from tests.tui.check.samples import START, at, card, check
from tests.tui.command_line import PATIENCE_S, ROOT
from tui.check import shelf
from tui.check.card import Card, record, start
from tui.check.course import finish, set_aside, undo, with_pull
from tui.check.desk import Desk
from tui.check.rules import Kind, Stage, stage_of
from tui.check.strays import strays, with_strays
from tui.check.under_way import sentence


def reread(one: Card) -> Card:
    found = shelf.kept(one)
    assert found is not None
    return found


def test_the_card_is_whole_on_the_disk_after_every_step() -> None:
    desk = Desk(lambda: START)
    assert desk.open(card()) == ""
    steps = (
        lambda one: replace(one, check=check(3)),
        lambda one: replace(one, check=with_pull(one.check, "/a.pull.csv", at(minutes=1))),
        lambda one: replace(one, check=set_aside(one.check, "it slipped in a clamp")),
        lambda one: replace(one, check=undo(one.check)),
        lambda one: replace(one, check=finish(one.check, at(minutes=3))),
        lambda one: start(one, Kind.SKIN, at(minutes=4), "B7", "Colour 7/1"),
        lambda one: record(one, Kind.POROSITY, "porous", at(minutes=5), "C3"),
        lambda one: record(one, Kind.SKIN, "itching", at(hours=5), "C3"),
    )
    for step in steps:
        assert desk.change(step) == ""
        assert desk.card is not None
        assert reread(desk.card) == desk.card
    assert len(shelf.all_cards().cards) == 1


def test_a_program_that_is_killed_outright_loses_nothing_it_had_said(home: Path) -> None:
    """The other program keeps cards as fast as it can and says which it kept; then it is killed."""
    script = (
        "import sys\n"
        "from dataclasses import replace\n"
        "from tests.tui.check.samples import at, card, check\n"
        "from tui.check import shelf\n"
        "from tui.check.course import with_pull\n"
        "one = replace(card(), check=check(30))\n"
        "for number in range(30):\n"
        "    one = replace(one, check=with_pull(one.check, f'/{number}.pull.csv', at(minutes=number)))\n"
        "    shelf.keep(one)\n"
        "    print(number, flush=True)\n"
        "sys.stdin.read()\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "STRANDBENCH_HOME": str(home)}
    with subprocess.Popen(
        [sys.executable, "-c", script], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment
    ) as process:
        assert process.stdout is not None
        said = [process.stdout.readline() for _ in range(7)]
        process.send_signal(signal.SIGKILL if os.name == "posix" else signal.SIGTERM)
        process.wait(PATIENCE_S)
    (found,) = shelf.all_cards().cards
    assert found.check is not None
    assert len(found.check.pulls) >= len(said)
    assert shelf.all_cards().problems == ()


def test_a_timer_goes_on_while_the_program_is_off() -> None:
    shelf.keep(start(card(), Kind.SKIN, START, "B7"))
    (found,) = shelf.all_cards().cards
    assert stage_of(found.round_of(Kind.SKIN), at(hours=23)) is Stage.RUNNING
    assert stage_of(found.round_of(Kind.SKIN), at(hours=24)) is Stage.READABLE


def test_cards_of_all_clients_are_told_apart_and_one_client_is_found_however_it_is_typed() -> None:
    cards = [card("HK-204"), card("HK 204"), card("Ж-1"), card("漢-1"), card("../../x1"), card("x" * 40)]
    for one in cards:
        shelf.keep(one)
    assert len(shelf.all_cards().cards) == len(cards)
    assert shelf.newest_of(" hk-204") == cards[0]
    newer = replace(cards[0], opened=at(days=3))
    shelf.keep(newer)
    assert shelf.newest_of("HK-204") == newer


def test_damaged_cards_among_good_ones_are_said_and_cost_no_other(home: Path) -> None:
    shelf.keep(card("HK-204"))
    shelf.keep(card("HK-205"))
    bad, _ = sorted(home.glob("card-*.json"))
    bad.write_bytes(bad.read_bytes()[:100])
    (home / "card-nonsense.json").write_text("\x1b[2J", encoding="utf-8")
    found = shelf.all_cards()
    assert len(found.cards) == 1
    assert len(found.problems) == 2
    assert all("\x1b" not in problem for problem in found.problems)


def test_while_the_disk_cannot_be_written_nothing_is_lost_and_the_next_change_keeps_all(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    desk = Desk(lambda: START)
    desk.open(card())

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("tui.store.files._replace", full)
        assert "cannot be written" in desk.change(lambda one: start(one, Kind.SKIN, START, "B7"))
        assert desk.card is not None
        assert desk.card.round_of(Kind.SKIN) is not None
    assert desk.change(lambda one: record(one, Kind.POROSITY, "good", START, "B7")) == ""
    assert len(reread(desk.card).rounds) == 2


def test_a_change_begins_with_what_another_program_has_kept_meanwhile() -> None:
    desk = Desk(lambda: START)
    desk.open(card())
    shelf.keep(record(card(), Kind.POROSITY, "good", START, "C3"))
    desk.change(lambda one: start(one, Kind.SKIN, START, "B7"))
    assert desk.card is not None
    assert [one.kind for one in desk.card.rounds] == [Kind.POROSITY, Kind.SKIN]


def test_what_is_under_way_is_one_sentence() -> None:
    assert sentence() == ""
    shelf.keep(replace(card(), check=check(5, pulled=2)))
    assert "HK-204" in sentence()
    assert "2 of 5" in sentence()


def test_a_pull_that_ended_with_the_program_is_found_again(tmp_path: Path) -> None:
    from recordings.writer import RecordingWriter
    from tests.recordings.sample import HEADER

    folder = tmp_path / "pulls"
    folder.mkdir()
    one = replace(card(), check=replace(check(3, pulled=1), begun=at()))
    assert one.check is not None
    for name, series in (("mine", one.check.series), ("another", "check-of-somebody")):
        specimen = replace(HEADER.specimen, series=series)
        RecordingWriter(folder / f"{name}.pull.csv", replace(HEADER, specimen=specimen)).finish("error")
    (folder / "damaged.pull.csv").write_bytes(b"\xff\xfe# {")
    found = strays(one, folder)
    assert [path.name for path in found] == ["mine.pull.csv"]
    with_them = with_strays(one, found, at(hours=1))
    assert with_them.check is not None
    assert with_them.check.pulls[-1].strand == 2
    assert strays(with_them, folder) == []
