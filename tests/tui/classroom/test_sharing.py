"""The class's page opened and closed in the app, by keys: it shows the app's rig and the recordings it plays."""

from __future__ import annotations

import json
import urllib.request
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Static

from tests.tui.command_line import Cli
from tests.tui.driver import Driver, running, settings
from tests.tui.test_playback import BROKEN_EARLY, VIRGIN
from tui import wording_page as words
from tui.app import Start
from tui.classroom.broadcast import Had
from tui.widgets.region_banner import Passage, banner_rows


def said(person: Driver, where: str) -> str:
    return str(person.app.screen.query_one(where, Static).render())


async def to_sharing(person: Driver) -> None:
    await person.until_screen("StartScreen")
    await person.choose("lesson")
    await person.until_screen("LessonScreen")
    await person.choose("sharing")
    await person.until_screen("SharingScreen")


async def test_the_page_is_opened_for_the_class_and_closed_again(tmp_path: Path) -> None:
    async with running(tmp_path, size=(80, 24)) as person:
        await to_sharing(person)
        assert person.app.class_page is None
        await person.choose("network")
        page = person.app.class_page
        assert page is not None
        assert page.word in said(person, "#word")
        assert page.url in said(person, "#where")
        assert person.notice == words.SHARE_PLAIN
        await person.choose("here")
        second = person.app.class_page
        assert second is not None
        assert second is not page
        assert second.word == ""
        assert page.broadcast.closed
        with urllib.request.urlopen(second.url, timeout=20) as answer:
            assert answer.status == 200
        await person.choose("nobody")
        assert person.app.class_page is None
        assert second.broadcast.closed
        assert person.notice == words.SHARE_CLOSED


async def test_the_page_says_which_rig_the_app_has(tmp_path: Path) -> None:
    async with running(tmp_path, settings()) as person:
        await person.until_screen("CautionScreen")
        person.app.go("sharing")
        await person.until_screen("SharingScreen")
        await person.choose("here")
        page = person.app.class_page
        assert page is not None
        await person.until(lambda: page.broadcast.news(Had())["rig"]["name"] != "")
        rig = page.broadcast.news(Had())["rig"]
        assert rig == {"name": "simulated rig", "simulated": True, "doing": ""}
        person.app.close_class_page()


async def test_what_is_played_on_the_big_screen_can_be_played_in_every_browser(tmp_path: Path) -> None:
    async with running(tmp_path, size=(100, 30), start=Start(show=(VIRGIN[0],))) as person:
        await person.until_screen("ShowScreen")
        person.app.go("sharing")
        await person.until_screen("SharingScreen")
        await person.choose("here")
        page = person.app.class_page
        assert page is not None
        person.app.go("show", (VIRGIN[0], BROKEN_EARLY[0]))
        await person.until(lambda: "reel" in page.broadcast.news(Had()))
        reel: dict[str, Any] = page.broadcast.news(Had())["reel"]
        json.dumps(reel, allow_nan=False)
        assert [one["name"] for one in reel["series"]] == ["virgin", "over-processed"]
        assert reel["simulated"] is True
        person.app.close_class_page()


def test_without_a_terminal_the_curves_are_text(cli: Cli) -> None:
    one = cli("show", VIRGIN[0])
    assert one.status == 0
    assert "head-A, crown, virgin, dry" in one.out
    assert "guideline 20 %" in one.out
    two = cli("show", VIRGIN[0], BROKEN_EARLY[0])
    assert two.status == 0
    assert "virgin" in two.out
    assert "over-processed" in two.out


def test_a_file_that_is_no_recording_is_said_and_the_others_are_shown(cli: Cli, tmp_path: Path) -> None:
    said_ = cli("show", VIRGIN[0], tmp_path / "none.pull.csv")
    assert said_.status == 1
    assert "none.pull.csv" in said_.err
    assert "guideline 20 %" in said_.out


PASSAGE = Passage(
    "",
    "post-yield",
    "Zones that hold more firmly are stretched now: the strand stiffens until it breaks.",
    "region2",
)


@pytest.mark.parametrize("width", [20, 60, 80, 120, 200])
@pytest.mark.parametrize("blocks", [True, False])
@pytest.mark.parametrize("count", [1, 2, 4])
def test_the_banner_says_the_region_at_any_width(width: int, blocks: bool, count: int) -> None:
    rows = banner_rows([PASSAGE] * count, width, blocks=blocks)
    texts = ["".join(span.text for span in row) for row in rows]
    assert len(rows) == (count if count > 1 else len(rows)) <= max(count, 3)
    if width >= 60:
        assert all(len(text) <= width for text in texts)
        flat = " ".join(" ".join(texts).split())
        assert "POST-YIELD" in flat or "█" in flat
    if width >= 80 and count == 1:
        assert "breaks." in " ".join(texts), "the whole sentence"
