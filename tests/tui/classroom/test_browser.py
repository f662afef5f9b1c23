"""The class's page in a real browser: the journey of somebody at a machine in the room.

Headless Chromium driven by Playwright, with the browser that the system has installed; skipped where there is none.
"""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.tui.rigs import simulated
from tests.tui.test_playback import BROKEN_EARLY, LIGHTENED, VIRGIN
from tui import wording_lesson
from tui import wording_page as words
from tui.classroom.series import load_reel
from tui.classroom.server import ClassPage

playwright = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if CHROMIUM is None:
    pytest.skip("no Chromium is installed: apt-get install chromium", allow_module_level=True)

#: How long something on the page may take [ms].
PATIENCE_MS = 30_000
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--mute-audio"]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with playwright.sync_playwright() as driver:
        made = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


class Seat:
    """A machine in the room with the page open; whatever goes wrong in its console is kept."""

    def __init__(self, browser: Any, url: str, **options: Any) -> None:
        self.context = browser.new_context(viewport={"width": 1280, "height": 800}, **options)
        self.context.set_default_timeout(PATIENCE_MS)
        self.page = self.context.new_page()
        self.trouble: list[str] = []
        self.asked: set[str] = set()
        self.page.on("console", lambda said: self.trouble.append(said.text) if said.type == "error" else None)
        self.page.on("pageerror", lambda problem: self.trouble.append(str(problem)))
        self.page.on("request", lambda request: self.asked.add(request.url))
        self.page.goto(url)

    def text(self, id: str) -> str:
        return str(self.page.locator(f"#{id}").inner_text())

    def until_text(self, id: str, part: str) -> None:
        playwright.expect(self.page.locator(f"#{id}")).to_contain_text(part, timeout=PATIENCE_MS)

    def until(self, script: str) -> None:
        """Wait until a script says true; asked from outside: the page forbids scripts made of text."""
        deadline = time.monotonic() + PATIENCE_MS / 1000
        while not self.page.evaluate(script):
            assert time.monotonic() < deadline, script
            self.page.wait_for_timeout(30)

    def count(self, selector: str) -> int:
        return int(self.page.locator(selector).count())


@pytest.fixture
def class_page(tmp_path: Path) -> Iterator[ClassPage]:
    made = ClassPage(tmp_path, port=0)
    yield made
    made.close()


@pytest.fixture
def seat(browser: Any, class_page: ClassPage) -> Iterator[Seat]:
    made = Seat(browser, class_page.url)
    made.until_text("link", words.PAGE["connected"])
    yield made
    made.context.close()
    assert made.trouble == []
    assert all(url.startswith(class_page.url) for url in made.asked), "nothing is fetched from anywhere else"


def pull(folder: Path, strand: str) -> None:
    """A pull recorded into the folder, as by any program beside the page's."""
    from recordings.format import Specimen
    from rig.connect import connect
    from rig.plan import PullPlan
    from rig.run import run_pull
    from rig.snapshot import nobody

    with simulated(strand, time_scale=12.0) as url, connect(url) as stretcher:
        run_pull(stretcher, PullPlan(Specimen(30.0, reference="K-7", history=strand), directory=folder), nobody)


def test_a_pull_is_seen_live_to_its_result(seat: Seat, tmp_path: Path) -> None:
    seat.until_text("title", words.PAGE["waiting"])
    assert seat.text("stretch") == "--"
    work = threading.Thread(target=pull, args=(tmp_path, "virgin"))
    work.start()
    for region in ("yield", "post_yield"):  # the elastic part takes a fifth of a second here
        seat.until_text("passages", wording_lesson.FIBRE[region])
    assert seat.text("title") == "K-7, virgin"
    assert seat.page.locator("#simulated").is_visible()
    assert seat.text("simulated") == "SIMULATED"
    assert seat.text("rig-name") == "simulated rig"
    assert int(seat.page.get_attribute("#plot", "data-points")) > 100
    assert seat.count("#plot .guide") == 1
    seat.until_text("passages", "broke at")
    work.join()
    playwright.expect(seat.page.locator("#result")).to_be_visible(timeout=PATIENCE_MS)
    seat.until("document.querySelectorAll('#plot .band').length === 3")
    assert "52" in seat.text("verdict") + seat.text("sentence")
    assert seat.text("verdict")[0] in "✔✘≈–"
    assert [seat.page.locator("#plot .band").nth(n).text_content() for n in range(3)] == [
        "elastic",
        "yield",
        "post-yield",
    ]
    assert seat.count("#plot .pin") == 2
    assert float(seat.text("stretch")) == pytest.approx(52.6, abs=0.2)
    assert "safe" not in seat.page.locator("body").inner_text().lower()


def test_recordings_are_played_paused_stepped_and_taken_to_the_break(seat: Seat, class_page: ClassPage) -> None:
    seat.page.click("#show-reel")
    seat.until_text("title", words.PAGE["nothing"])
    class_page.show_reel(load_reel([VIRGIN[0], BROKEN_EARLY[0]]))
    seat.until_text("title", "virgin against over-processed")
    assert seat.text("stretch") == "0.0"
    seat.page.click("#to-break")
    seat.until_text("stretch", "11.8")
    assert seat.count("#plot .pin") == 2
    seat.until_text("passages", "broke at 11.8 %")
    seat.page.click("#on")
    seat.until_text("stretch", "12.3")
    seat.page.select_option("#speed", "32")
    seat.page.focus("#play")
    seat.page.keyboard.press("Space")
    seat.until("Number(document.getElementById('stretch').textContent) > 42")
    seat.until_text("play", words.PAGE["play"])
    assert seat.count("#plot .pin") == 4
    assert seat.count("#plot .curve") == 2
    names = {seat.page.locator("#plot .name").nth(n).text_content() for n in range(2)}
    assert names == {"virgin", "over-processed"}
    dashes = seat.page.evaluate(
        "[...document.querySelectorAll('#plot .curve')].map(c => getComputedStyle(c).strokeDasharray)"
    )
    assert len(set(dashes)) == 2, "told apart without colour"
    seat.page.focus("#place")
    seat.page.keyboard.press("Home")
    seat.until_text("stretch", "0.0")


def test_groups_have_their_spread(seat: Seat, class_page: ClassPage) -> None:
    class_page.show_reel(load_reel([*VIRGIN, *LIGHTENED]))
    seat.page.click("#show-reel")
    seat.until_text("title", "6 strands in step")
    seat.page.click("#to-break")
    seat.until("document.querySelectorAll('#plot .ribbon').length === 2")


def test_looks_are_light_dark_and_high_contrast(seat: Seat) -> None:
    grounds = []
    for name in (*words.PAGE["looks_names"][1:], words.PAGE["looks_names"][0]):  # type: ignore[index]
        seat.page.click("#looks")
        seat.until_text("looks", str(name))
        grounds.append(seat.page.evaluate("getComputedStyle(document.documentElement).backgroundColor"))
    assert grounds[:3] == ["rgb(25, 22, 20)", "rgb(251, 247, 240)", "rgb(0, 0, 0)"]


@pytest.mark.parametrize(("wish", "ground"), [("dark", "rgb(25, 22, 20)"), ("light", "rgb(251, 247, 240)")])
def test_the_system_s_wish_is_followed_at_first(
    browser: Any, class_page: ClassPage, wish: str, ground: str
) -> None:
    seat = Seat(browser, class_page.url, color_scheme=wish)
    assert seat.page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == ground
    seat.context.close()


def test_what_a_file_says_of_itself_never_becomes_markup(seat: Seat, class_page: ClassPage) -> None:
    nasty = "<img src=x onerror=\"document.title='owned'\"><script>document.title='owned'</script>"
    class_page.broadcast.tell_rig(nasty, nasty, simulated=True)
    class_page.broadcast.begin("a.pull.csv", nasty, nasty, 20.0, simulated=True)
    class_page.broadcast.show_result(
        {
            "file": "b", "ends": 1.0, "end_word": nasty, "title": nasty, "simulated": True, "sign": nasty,
            "words": nasty, "sentence": nasty, "values": [[nasty, nasty, nasty]], "notes": [nasty],
            "guideline": 20.0, "x": [0.0, 1.0], "y": [0.0, 0.1], "regions": [[nasty, 0.0, 1.0]],
        }
    )  # fmt: skip
    seat.until_text("title", "<img")
    playwright.expect(seat.page.locator("#result")).to_be_visible(timeout=PATIENCE_MS)
    assert seat.count("img") == 0
    assert seat.count("main script") == 0
    assert seat.page.title() == words.TITLE


def test_the_word_is_asked_for_wrong_then_right(browser: Any, tmp_path: Path) -> None:
    page = ClassPage(tmp_path, "0.0.0.0", 0)
    try:
        url = page.url.replace(page.url.split("/")[2].rpartition(":")[0], "127.0.0.1")
        seat = Seat(browser, url)
        seat.page.get_by_label(words.ENTER_LABEL).fill("no such word")
        seat.page.get_by_role("button", name=words.ENTER_GO).click()
        seat.until_text("problem", words.ENTER_WRONG)
        seat.page.get_by_label(words.ENTER_LABEL).fill(page.word.upper())
        seat.page.keyboard.press("Enter")
        seat.until_text("link", words.PAGE["connected"])
        seat.page.reload()
        seat.until_text("link", words.PAGE["connected"])
        assert seat.page.evaluate("document.cookie") == "", "no script can read who was let in"
        seat.context.close()
    finally:
        page.close()


def test_the_end_of_the_lesson_is_said(browser: Any, tmp_path: Path) -> None:
    page = ClassPage(tmp_path, port=0)
    seat = Seat(browser, page.url)
    seat.until_text("link", words.PAGE["connected"])
    page.close()
    seat.until_text("link", words.PAGE["closed"])
    seat.context.close()


def test_a_narrow_window_keeps_everything_in_reach(browser: Any, class_page: ClassPage) -> None:
    seat = Seat(browser, class_page.url)
    class_page.show_reel(load_reel([VIRGIN[0], BROKEN_EARLY[0]]))
    seat.page.set_viewport_size({"width": 360, "height": 640})
    seat.page.click("#show-reel")
    seat.until_text("title", "against")
    assert seat.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    seat.context.close()
