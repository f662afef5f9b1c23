"""The whole job in the app, by keys alone, on a simulated rig behind a real port."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from recordings.reader import read_recording, verify_recording
from tests.tui.driver import Driver, running, settings
from tests.tui.rigs import echo, listening, simulated
from tui.analysing import analyse_file
from tui.bench import Bench
from tui.notes import notes_of
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.menu import Menu
from tui.widgets.readouts import Readout
from tui.widgets.verdict_card import VerdictCard


def recordings(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.pull.csv"))


def card_of(driver: Driver) -> str:
    cards = [view.card for view in driver.app.screen.query(VerdictCard) if view.card is not None]
    return f"{cards[0].sign} {cards[0].words}. {cards[0].sentence}" if cards else ""


async def choose(driver: Driver, key: str) -> None:
    menu = driver.app.screen.query_one(Menu)
    await driver.press("home")
    while menu.here is not None and menu.here.key != key:
        before = menu.here
        await driver.press("down")
        assert menu.here is not before, f"there is no {key}"
    await driver.press("enter")


async def test_from_the_choice_of_a_rig_to_the_verdict_by_keys(tmp_path: Path) -> None:
    async with running(tmp_path, size=(80, 24)) as person:
        await choose(person, "pull")
        await person.until_screen("ConnectScreen")
        await choose(person, "simulate")
        await person.until_screen("SimulateScreen")
        await person.press("right")
        await choose(person, "lightened")
        await person.until_screen("CautionScreen")
        assert not person.app.bench.cautioned
        await person.press("y")
        await person.until_screen("StrandScreen")
        await person.fill("reference", "H-12 b")
        await person.press("down", "right", "down")
        await person.fill("history", "lightened twice")
        await person.press("enter")
        await person.until_screen("PullScreen")
        assert recordings(tmp_path) == []
        await person.press("enter")
        await person.until(lambda: person.moving)
        assert person.app.screen.query_one("#force", Readout).value != "--"
        await person.until_screen("ResultScreen")
        await person.until(lambda: card_of(person) != "")

        (path,) = recordings(tmp_path)
        recording = read_recording(path)
        assert verify_recording(path).ok
        assert recording.complete
        assert recording.end is not None
        assert recording.end.reason == "break"
        assert recording.header.simulated
        assert recording.header.specimen.reference == "H-12 b"
        assert recording.header.specimen.zone == "left side"
        assert recording.header.specimen.history == "lightened twice"
        assert recording.header.simulation["strand"] == "lightened"
        result = analyse_file(path)
        assert result.verdict.statement in card_of(person)
        curve = person.app.screen.query_one(CurvePlot).picture
        assert len(curve.lines[0].points) == len(result.curve.strain_pct) if result.curve else False
        assert [band.name for band in curve.bands] == ["elastic", "yield", "post-yield"]


async def test_next_strands_need_no_second_caution_and_begin_where_the_first_did(tmp_path: Path) -> None:
    async with running(tmp_path, settings()) as person:
        await person.to_pull()
        await person.press("enter")
        await person.until_screen("ResultScreen")
        await person.press("n")
        await person.until_screen("MoveBackScreen")
        await person.press("enter")
        await person.until_screen("StrandScreen")
        await person.press("enter")
        await person.until_screen("PullScreen")
        await person.press("enter")
        await person.until_screen("ResultScreen")
        await person.until(lambda: card_of(person) != "")
        first, second = (read_recording(path) for path in recordings(tmp_path))
        assert abs(first.rows.steps[0] - second.rows.steps[0]) <= 1
        assert first.header.specimen.diameter_um != second.header.specimen.diameter_um
        await person.press("l")
        await person.until_screen("LibraryScreen")
        await person.press("f2")
        await person.until_screen("StartScreen")
        await choose(person, "pull")
        await person.until_screen("StrandScreen")
        person.app.go("connect")
        await person.until_screen("ConnectScreen")
        await choose(person, "simulate")
        await person.until_screen("SimulateScreen")
        await person.press("enter")
        await person.until_screen("StrandScreen")


async def test_a_rig_at_a_typed_address_that_another_program_serves(tmp_path: Path) -> None:
    with simulated("over-processed") as address:
        async with running(tmp_path) as person:
            await choose(person, "pull")
            await person.until_screen("ConnectScreen")
            await choose(person, "address")
            await person.until_screen("AddressScreen")
            await person.press("enter")
            assert "address" in str(person.app.screen.query_one(".field-hint").render())
            await person.fill("address", address)
            await person.press("enter")
            await person.to_pull()
            await person.press("enter")
            await person.until_screen("ResultScreen")
            await person.until(lambda: card_of(person) != "")
            assert "elow" in card_of(person)


async def test_notes_are_kept_beside_the_recording_and_change_nothing_in_it(tmp_path: Path) -> None:
    async with running(tmp_path, settings()) as person:
        await person.to_pull()
        await person.press("enter")
        await person.until_screen("ResultScreen")
        (path,) = recordings(tmp_path)
        before = path.read_bytes()
        await person.press("s")
        await person.until_screen("NoteScreen")
        await person.press("enter")
        assert person.screen == "NoteScreen"
        await person.fill("note", "[bold]from the left[/]")
        await person.press("enter")
        await person.until_screen("ResultScreen")
        assert path.read_bytes() == before
        (note,) = notes_of(path)
        assert note.endswith("[bold]from the left[/]")


@pytest.mark.parametrize("strand", ["slipping", "never-breaking", "partial-break"])
async def test_pulls_that_do_not_end_in_a_plain_break_are_told_apart(tmp_path: Path, strand: str) -> None:
    async with running(tmp_path, settings(strand)) as person:
        await person.to_pull()
        await person.press("enter")
        await person.until_screen("ResultScreen")
        await person.until(lambda: card_of(person) != "")
        (path,) = recordings(tmp_path)
        assert analyse_file(path).verdict.statement in card_of(person)


async def test_the_recordings_are_found_and_shown_without_a_rig(tmp_path: Path) -> None:
    async with running(tmp_path, size=(120, 40)) as person:
        await choose(person, "library")
        await person.until_screen("LibraryScreen")
        menu = person.app.screen.query_one(Menu)
        await person.press(*"virgin")
        await person.until(lambda: menu.here is not None and "virgin" in menu.here.key)
        await person.press("enter")
        await person.until_screen("ResultScreen")
        await person.until(lambda: card_of(person) != "")
        await person.press("n")
        await person.until_screen("ConnectScreen")


async def test_a_file_that_is_no_recording_is_a_sentence_with_its_name_as_it_is(tmp_path: Path) -> None:
    escape = "" if sys.platform == "win32" else "\x1b[2J"
    odd = tmp_path / f"2026-01-01_[red]odd[bold]{escape}.pull.csv"
    odd.write_text("not a recording", encoding="utf-8")
    async with running(tmp_path) as person:
        person.app.go("result", odd)
        await person.until_screen("ResultScreen")
        await person.until(lambda: person.complained)
        assert "[red]odd[bold]" in person.notice
        assert "\x1b" not in person.notice


@pytest.mark.parametrize(
    ("port", "said"),
    [
        ("tcp://127.0.0.1:1", "127.0.0.1"),
        ("/no/such/port", "/no/such/port"),
        ("nonsense://[bold]", "nonsense"),
    ],
)
async def test_a_port_that_is_none_is_a_sentence(tmp_path: Path, port: str, said: str) -> None:
    async with running(tmp_path, port=port) as person:
        await person.until(
            lambda: said in person.notice and person.app.screen.query_one("#notice").has_class("-bad")
        )
        assert person.screen == "ConnectScreen"
        assert "Traceback" not in person.notice


async def test_something_that_is_no_rig_is_a_sentence_and_another_can_be_chosen(tmp_path: Path) -> None:
    with listening(echo) as address:
        async with running(tmp_path, port=address) as person:
            await person.until(lambda: "not a strand rig" in person.notice)
            await choose(person, "simulate")
            await person.until_screen("SimulateScreen")


async def test_a_folder_that_cannot_be_written_is_a_sentence_and_nothing_moves(tmp_path: Path) -> None:
    blocked = tmp_path / "a file"
    blocked.write_text("in the way", encoding="utf-8")
    async with running(blocked, settings()) as person:
        await person.to_pull()
        await person.press("enter")
        await person.until(lambda: "choose another folder" in person.notice)
        assert not person.moving
        assert person.screen == "PullScreen"


def test_a_bench_without_a_rig_has_nothing_to_stop_and_says_so(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    bench.stop()
    bench.close()
    assert not bench.state().connected
    assert not bench.busy
