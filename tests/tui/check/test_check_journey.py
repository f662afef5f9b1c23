"""The stylist's journey in the app, by keys alone, on a simulated rig behind a real port."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from recordings.reader import read_recording
from tests.tui.check.samples import START
from tests.tui.driver import Driver, running, settings
from tui.check.card import Card
from tui.check.shelf import all_cards
from tui.widgets.field import Field
from tui.widgets.menu import Menu
from tui.widgets.several import Several
from tui.widgets.strand_rows import StrandRows
from tui.widgets.verdict_card import VerdictCard

#: Fast enough that five strands take seconds.
FAST = 100.0


async def to_client(person: Driver) -> None:
    await person.until_screen("StartScreen")
    await person.choose("check")
    await person.until_screen("CheckMenuScreen")
    await person.choose("new")
    await person.until_screen("CheckClientScreen")


async def to_plan(person: Driver) -> None:
    await to_client(person)
    await person.fill("reference", "HK-204")
    await person.fill("by", "B7")
    await person.fill("history", "lightened twice")
    await person.press("enter")
    await person.until_screen("CheckPlanScreen")


async def to_strands(person: Driver, strand: str = "virgin") -> None:
    """On to the first strand, with a fast simulated rig in place of the one that would be chosen."""
    await to_plan(person)
    person.app.bench.simulate(settings(strand, time_scale=FAST))
    await person.press("enter")
    await person.until_screen("CautionScreen")
    await person.press("y")
    await person.until_screen("CheckStrandsScreen")


async def pull_one(person: Driver) -> None:
    await person.press("enter")
    await person.until(lambda: person.screen in ("CheckBackScreen", "CheckPullScreen"))
    if person.screen == "CheckBackScreen":
        await person.until_screen("CheckBackScreen")
        await person.press("enter")
    await person.until_screen("CheckPullScreen")
    await person.press("enter")
    await person.until_screen("CheckStrandsScreen")
    await person.until(lambda: all("working" not in row.words for row in rows(person)))


def rows(person: Driver) -> list[object]:
    return [row for view in person.app.screen.query(StrandRows) for row in view.rows]


def words(person: Driver) -> list[str]:
    return [row.words for row in rows(person)]  # type: ignore[attr-defined]


def titles(person: Driver) -> list[str]:
    return [entry.title for entry in person.app.screen.query_one(Menu)._entries]


def only_card() -> Card:
    (found,) = all_cards().cards
    return found


async def test_a_check_of_five_strands_from_the_client_to_the_page(tmp_path: Path) -> None:
    async with running(tmp_path, size=(80, 24), journey="") as person:
        await to_strands(person)
        for number in range(1, 6):
            await pull_one(person)
            check = only_card().check
            assert check is not None
            assert len(check.pulls) == number, "kept as soon as it is shown"
        await person.press("enter")
        await person.until_screen("CheckResultScreen")
        await person.until(lambda: person.app.screen.query_one(VerdictCard).card is not None)
        await person.press("enter")
        await person.until_screen("CardScreen")
        await person.press("f6")
        await person.until(lambda: "was saved" in person.notice)

        one = only_card()
        assert one.check is not None
        assert one.check.ended is not None
        zones = [read_recording(Path(pull.recording)).header.specimen.zone for pull in one.check.pulls]
        assert zones == list(one.check.planned)
        header = read_recording(Path(one.check.pulls[2].recording)).header
        assert header.specimen.reference == "HK-204"
        assert header.specimen.series == one.check.series
        assert header.specimen.strand == "3"
        (page,) = (tmp_path / "cards").glob("*.json")
        plain = json.loads(page.read_text(encoding="utf-8"))
        assert plain["check"]["summary"]["n"] == 5
        assert plain["tests"][1]["outcome"] == plain["check"]["outcome"]
        assert plain["simulated"] is True


async def test_a_slipped_strand_is_offered_again_with_its_reason_and_undo_takes_it_back(tmp_path: Path) -> None:
    async with running(tmp_path, journey="") as person:
        await to_strands(person, "slipping")
        await pull_one(person)
        await person.until(lambda: "Press R" in person.notice)
        assert "slipped" in person.notice
        await person.press("r")
        await person.until_screen("CheckAsideScreen")
        menu = person.app.screen.query_one(Menu)
        assert menu.here is not None
        assert menu.here.key == "slipped"
        await person.press("enter")
        await person.until_screen("CheckStrandsScreen")
        check = only_card().check
        assert check is not None
        assert check.next_strand == 1
        assert words(person)[0] == "left out: it slipped in a clamp"
        await person.press("u")
        await person.until(lambda: words(person)[0] == "no verdict")
        await person.press("u")
        await person.until(lambda: "Taken back" in person.notice)
        check = only_card().check
        assert check is not None
        assert [pull.aside for pull in check.pulls] == ["taken back"]
        assert Path(check.pulls[0].recording).is_file(), "the recording stays"


async def test_the_app_begun_anew_offers_to_go_on_where_it_was(tmp_path: Path) -> None:
    async with running(tmp_path, journey="") as person:
        await to_strands(person)
        await pull_one(person)
    async with running(tmp_path, journey="") as person:
        await person.until_screen("StartScreen")
        await person.until(lambda: "HK-204 is under way: 1 of 5" in person.notice)
        await person.choose("check")
        await person.until_screen("CheckMenuScreen")
        await person.until(
            lambda: "HK-204" in [entry.title for entry in person.app.screen.query_one(Menu)._entries]
        )
        await person.press("end", "enter")
        await person.until_screen("CheckStrandsScreen")
        await person.until(lambda: "meets the guideline" in words(person))
        assert words(person)[1] == "next"


async def test_the_last_pull_is_found_when_the_program_ended_before_it_was_on_the_card(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(tmp_path, journey="") as person:
        await to_strands(person)
        with monkeypatch.context() as patched:  # killed between the end of the recording and the card
            patched.setattr("tui.check.desk.Desk.change", lambda *_: "")
            await person.press("enter")
            await person.until_screen("CheckPullScreen")
            await person.press("enter")
            await person.until_screen("CheckStrandsScreen")
    check = only_card().check
    assert check is not None
    assert check.pulls == ()
    async with running(tmp_path, journey="") as person:
        await person.until_screen("StartScreen")
        await person.choose("check")
        await person.until_screen("CheckMenuScreen")
        await person.until(lambda: len(titles(person)) > 1)
        await person.press("end", "enter")
        await person.until_screen("CheckStrandsScreen")
        await person.until(lambda: "meets the guideline" in words(person))


async def test_timers_of_the_card_run_are_confirmed_and_survive(tmp_path: Path) -> None:
    moment = [START]
    async with running(tmp_path, journey="") as person:
        person.app.desk.clock = lambda: moment[0]
        await to_plan(person)
        await person.press("c")
        await person.until_screen("CardScreen")
        await person.choose("incompatibility")
        await person.until_screen("CardTestScreen")
        await person.press("enter")
        await person.until_screen("CardScreen")
        moment[0] = START + timedelta(minutes=29)
        await person.choose("incompatibility")
        await person.until_screen("CardTestScreen")
        await person.choose("none")
        await person.until(lambda: "once more" in person.notice)
        await person.press("enter")
        await person.until(lambda: "can be recorded from" in person.notice)
    later: datetime = START + timedelta(minutes=31)
    async with running(tmp_path, journey="") as person:
        person.app.desk.clock = lambda: later
        await person.until_screen("StartScreen")
        await person.choose("check")
        await person.until_screen("CheckMenuScreen")
        await person.until(lambda: len(titles(person)) > 1)
        await person.press("end", "enter")
        await person.until_screen("CardScreen")
        await person.choose("incompatibility")
        await person.until_screen("CardTestScreen")
        await person.choose("falls-apart")
        await person.until(lambda: "once more" in person.notice)
        await person.press("enter")
        await person.until_screen("CardScreen")
        standing = person.app.screen.query_one("#standing", VerdictCard)
        await person.until(lambda: standing.card is not None and standing.card.words == "Do not proceed")


BAD = ("", "ten", "-3", "1000000000", "0.5", "nan", "1e3", "🎨", "\x1b[2J", "[bold]5[/]", "9" * 10_000_000)


@pytest.mark.parametrize("text", BAD, ids=lambda text: repr(text[:12]))
async def test_nonsense_in_the_plan_is_a_sentence_and_begins_nothing(tmp_path: Path, text: str) -> None:
    async with running(tmp_path, size=(80, 24), journey="") as person:
        await to_plan(person)
        for name in ("strands", "gauge"):
            field = person.app.screen.query_one(f"#{name}", Field)
            before = field.input.value
            field.input.value = text
            await person.pilot.pause()
            field.input.focus()
            await person.press("enter")
            await person.until(lambda field=field: field.has_class("-wrong"))
            assert person.screen == "CheckPlanScreen"
            assert only_card().check is None
            field.input.value = before


@pytest.mark.parametrize(
    "text", ["", "Anna Smith", "a@b.example", "\x1b[2Jx\x07", "x" * 10_000_000, "\u202e\u200b"]
)
async def test_nonsense_for_a_client_is_a_sentence_and_keeps_nothing(tmp_path: Path, text: str) -> None:
    async with running(tmp_path, size=(80, 24), journey="") as person:
        await to_client(person)
        await person.fill("by", "B7")
        field = person.app.screen.query_one("#reference", Field)
        field.input.value = text
        await person.pilot.pause()
        await person.press("enter")
        await person.until(lambda: field.has_class("-wrong"))
        assert person.screen == "CheckClientScreen"
        assert all_cards().cards == ()


async def test_a_plan_without_a_zone_says_which_key_takes_one(tmp_path: Path) -> None:
    async with running(tmp_path, journey="") as person:
        await to_plan(person)
        person.app.screen.query_one(Several).focus()
        for _ in range(5):
            await person.press("space", "right")
        await person.press("enter")
        await person.until(lambda: "space bar" in person.notice)
        await person.press("space", "enter")
        await person.until_screen("ConnectScreen")
        check = only_card().check
        assert check is not None
        assert len(set(check.planned)) == 1


async def test_a_known_client_is_said_and_the_earlier_card_is_gone_on_with(tmp_path: Path) -> None:
    async with running(tmp_path, journey="") as person:
        await to_plan(person)
        await person.press("f2")
        await person.until_screen("CheckMenuScreen")
        await person.choose("new")
        await person.until_screen("CheckClientScreen")
        await person.fill("reference", "hk-204")
        await person.press("enter")
        await person.until(lambda: "F4" in person.notice)
        await person.press("enter")
        await person.until_screen("CardScreen")
        assert len(all_cards().cards) == 1


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (200, 60)])
async def test_the_screens_stand_at_any_size_and_help_explains_them(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path, size=size, journey="") as person:
        await to_plan(person)
        await person.press("f1")
        await person.until_screen("HelpScreen")
        await person.press("f1")
        await person.until_screen("CheckPlanScreen")
        person.app.screen.query_one("#condition").focus()
        await person.press("c")
        await person.until_screen("CardScreen")


async def test_a_window_made_tiny_and_large_again_loses_nothing_that_was_typed(tmp_path: Path) -> None:
    async with running(tmp_path, size=(80, 24), journey="") as person:
        await to_client(person)
        await person.fill("reference", "HK-204")
        await person.pilot.resize_terminal(20, 5)
        await person.until(lambda: person.app.screen.query_one("#too-small").display)
        await person.pilot.resize_terminal(80, 24)
        await person.until(lambda: not person.app.screen.query_one("#too-small").display)
        assert person.app.screen.query_one("#reference", Field).value == "HK-204"
