"""The lecturer's journey through the real app, by keys alone, on a simulated rig and on recordings."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import cast

import pytest
from textual.widgets import Static

from tests.tui.driver import Driver, running
from tests.tui.test_playback import BROKEN_EARLY, LIGHTENED, VIRGIN
from tui import wording_guesses, wording_lesson
from tui.app import Start, StrandbenchApp
from tui.bench import Bench
from tui.classroom.guesses import keep_guess, new_round, read_book
from tui.screens.show import ShowScreen
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.play_line import PlayLine
from tui.widgets.readouts import Readout
from tui.widgets.region_banner import RegionBanner
from tui.widgets.row_list import RowList


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("STRANDBENCH_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def rows_of(person: Driver) -> list[str]:
    """The table that is shown, as text."""
    found = person.app.screen.query_one(RowList)
    return ["".join(span.text for span in found.row(y)).rstrip() for y in range(found.size.height)]


def said(person: Driver, where: str) -> str:
    return str(person.app.screen.query_one(where, Static).render())


async def type_line(person: Driver, text: str) -> None:
    await person.press(
        *("space" if sign == " " else "full_stop" if sign == "." else sign for sign in text), "enter"
    )
    await person.pilot.pause()


async def to_lesson(person: Driver) -> None:
    await person.until_screen("StartScreen")
    await person.choose("lesson")
    await person.until_screen("LessonScreen")


async def to_rig(person: Driver, strand: str) -> None:
    """From the choice of a rig to the strand."""
    await person.until_screen("ConnectScreen")
    await person.choose("simulate")
    await person.until_screen("SimulateScreen")
    await person.press("right")
    await person.choose(strand)
    await person.until_screen("CautionScreen")
    await person.press("y")
    await person.until_screen("RoomStrandScreen")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_lesson_from_the_guesses_to_the_term(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path, size=size) as person:
        await to_lesson(person)
        await person.choose("guesses")
        await person.until_screen("GuessesScreen")
        for line in ("k7 35", "ab 80", "mira 46.5", "ab 20"):
            await type_line(person, line)
        assert person.notice == "AB has changed the guess."
        assert "80" not in " ".join(rows_of(person)), "hidden, so that nobody is led"
        await person.press("f4")
        await person.pilot.pause()
        assert "46.5 %" in " ".join(rows_of(person))
        await person.press("enter")
        await to_rig(person, "virgin")
        await person.press("enter")
        await person.until_screen("RoomPullScreen")
        await person.press("enter")
        passed: list[str] = []

        def scored() -> bool:
            for banner in person.app.screen.query(RegionBanner):
                passed.extend(one.word for one in banner.passages if one.word not in passed)
            return person.screen == "ScoresScreen"

        await person.until(scored)
        await person.until_screen("ScoresScreen")
        # At this pace the elastic part takes a tenth of a second, which a busy computer may draw over.
        in_order = ["slack", "elastic", "yield", "post-yield", "broke"]
        assert passed == [word for word in in_order if word in passed]
        assert {"yield", "post-yield"} <= set(passed)
        await person.until(lambda: person.app.screen.query_one("#measured", Readout).value != "--")
        (one,) = read_book().rounds
        assert one.outcome is not None
        assert person.app.screen.query_one("#measured", Readout).value == f"{one.outcome.measured_pct:.1f}"
        await person.until(lambda: len(rows_of(person)) == 4 and all(rows_of(person)))
        assert [row.split()[0] for row in rows_of(person)][-3:] == [
            guess.student
            for guess in sorted(one.guesses, key=lambda g: abs((g.guess_pct or 0) - one.outcome.measured_pct))  # type: ignore[union-attr]
        ]
        await person.press("enter")
        await person.until_screen("ShowScreen")
        show = cast(ShowScreen, person.app.screen)
        await person.until(lambda: show.playback.at_end and bool(show.playback.series))
        assert [one.word for one in show.query_one(RegionBanner).passages] == ["broke"]
        plot = show.query_one(CurvePlot).picture
        assert [band.name for band in plot.bands] == ["elastic", "yield", "post-yield"]
        assert plot.pins[0].label == f"broke at {show.playback.ends_pct:.1f} %"
        assert plot.guideline is not None
        await person.press("f2")
        await person.until_screen("LessonScreen")
        await person.choose("term")
        await person.until_screen("TermScreen")
        await person.until(lambda: len(rows_of(person)) > 3)
        assert {row.split()[0] for row in rows_of(person)} >= {"K7", "AB", "MIRA", "all"}


async def test_nonsense_in_the_line_is_a_sentence_and_keeps_what_was_typed(tmp_path: Path) -> None:
    async with running(tmp_path) as person:
        await to_lesson(person)
        await person.choose("guesses")
        await person.until_screen("GuessesScreen")
        for text, sentence in (
            ("k7 -5", wording_guesses.GUESS_WANTED.format(most=200.0)),
            ("35", wording_guesses.CODE_WANTED),
            ("k7", wording_guesses.NO_SUCH.format(student="K7")),
        ):
            person.app.screen.query_one("Input").value = ""  # type: ignore[attr-defined]
            await type_line(person, text)
            assert person.notice == sentence
        assert read_book().rounds == ()


async def test_guesses_survive_the_program(tmp_path: Path) -> None:
    """What was typed before the program was killed waits for the next pull."""
    now = datetime.now().astimezone()
    keep_guess(new_round(now), "K7", 35.0, now)
    async with running(tmp_path) as person:
        await to_lesson(person)
        await person.choose("guesses")
        await person.until_screen("GuessesScreen")
        assert rows_of(person)[0].strip() == "K7"
        await type_line(person, "ab 40")
    (one,) = read_book().rounds
    assert [guess.student for guess in one.guesses] == ["K7", "AB"]


async def test_a_full_disk_is_a_sentence_and_loses_nothing(tmp_path: Path, home: Path) -> None:
    home.write_text("a file where the folder should be")
    async with running(tmp_path) as person:
        await to_lesson(person)
        await person.choose("guesses")
        await person.until_screen("GuessesScreen")
        await type_line(person, "k7 35")
        assert "cannot be" in person.notice
        assert person.app.screen.query_one("Input").value == "k7 35"  # type: ignore[attr-defined]


async def test_a_strand_that_slips_settles_nothing_and_says_so(tmp_path: Path) -> None:
    now = datetime.now().astimezone()
    keep_guess(new_round(now), "K7", 35.0, now)
    async with running(tmp_path) as person:
        await to_lesson(person)
        await person.choose("pull")
        await to_rig(person, "slipping")
        await person.press("enter")
        await person.until_screen("RoomPullScreen")
        await person.press("enter")
        await person.until_screen("ScoresScreen")
        await person.until(lambda: "gives no elongation at break" in person.notice)
        assert read_book().open_round(now) is not None
        await person.press("enter")
        await person.until_screen("ShowScreen")
        await person.press("n")
        await person.until_screen("RoomBackScreen")


async def test_the_stop_key_stops_a_pull_on_the_big_screen(tmp_path: Path) -> None:
    async with running(tmp_path) as person:
        await to_lesson(person)
        await person.choose("pull")
        await to_rig(person, "never-breaking")
        await person.press("enter")
        await person.until_screen("RoomPullScreen")
        await person.press("enter")
        await person.until(lambda: person.moving)
        await person.press("escape")
        await person.until_screen("ShowScreen")
        assert not person.app.bench.busy


# -- playing recordings -----------------------------------------------------------------------------------


async def shown(person: Driver) -> ShowScreen:
    await person.until_screen("ShowScreen")
    screen = cast(ShowScreen, person.app.screen)
    await person.until(lambda: bool(screen.playback.series) and bool(screen.query(CurvePlot)))
    await person.pilot.pause()
    return screen


def start(*paths: Path) -> Start:
    return Start(show=tuple(paths))


async def test_two_strands_in_step_played_stepped_and_to_each_break(tmp_path: Path) -> None:
    async with running(tmp_path, size=(120, 40), start=start(VIRGIN[0], BROKEN_EARLY[0])) as person:
        screen = await shown(person)
        healthy, damaged = screen.playback.series
        assert "(simulated)" in said(person, "#question")
        for _ in range(3):
            await person.press("up")
        assert screen.playback.speed == 32.0
        await person.press("space")
        await person.until(lambda: screen.playback.at_end)
        await person.pilot.pause()
        plot = screen.query_one(CurvePlot).picture
        assert [len(line.points) for line in plot.lines] == [len(healthy.x), len(damaged.x)]
        assert [pin.label for pin in plot.pins] == [f"broke at {one.ends_pct:.1f} %" for one in (healthy, damaged)]
        await person.press("home", "b")
        assert screen.playback.at_pct == damaged.ends_pct
        await person.pilot.pause()
        words = [passage.word for passage in screen.query_one(RegionBanner).passages]
        assert words == ["yield", "broke"]
        assert [pin.label for pin in screen.query_one(CurvePlot).picture.pins] == [
            f"broke at {damaged.ends_pct:.1f} %"
        ]
        await person.press("left", "left", "right")
        assert screen.playback.at_pct == pytest.approx(damaged.ends_pct - 0.5)
        await person.press("shift+right")
        assert screen.playback.at_pct == pytest.approx(damaged.ends_pct + 4.5)
        assert len(screen.query_one(PlayLine).progress.breaks) == 2


async def test_side_by_side_has_the_same_scales(tmp_path: Path) -> None:
    async with running(tmp_path, size=(120, 40), start=start(VIRGIN[0], BROKEN_EARLY[0])) as person:
        screen = await shown(person)
        await person.press("s", "end")
        await person.until(lambda: len(screen.query(CurvePlot)) == 2)
        await person.pilot.pause()
        pictures = [plot.picture for plot in screen.query(CurvePlot)]
        assert pictures[0].window == pictures[1].window
        assert [len(picture.lines) for picture in pictures] == [1, 1]
        assert all(len(picture.pins) == 1 for picture in pictures)
        await person.press("s")
        await person.until(lambda: len(screen.query(CurvePlot)) == 1)


async def test_side_by_side_needs_room(tmp_path: Path) -> None:
    async with running(tmp_path, size=(80, 24), start=start(*VIRGIN[:2], BROKEN_EARLY[0])) as person:
        screen = await shown(person)
        await person.press("s")
        assert person.notice == wording_lesson.NO_ROOM_BESIDE
        assert len(screen.query(CurvePlot)) == 1


async def test_groups_show_their_median_and_spread(tmp_path: Path) -> None:
    async with running(tmp_path, size=(120, 40), start=start(*VIRGIN, *LIGHTENED)) as person:
        screen = await shown(person)
        assert [one.name for one in screen.playback.series] == ["virgin (3)", "lightened (3)"]
        await person.press("end")
        await person.pilot.pause()
        picture = screen.query_one(CurvePlot).picture
        assert [len(ribbon.low) for ribbon in picture.ribbons] == [len(one.x) for one in screen.playback.series]
        await person.press("y")
        await person.until(lambda: screen.query_one(CurvePlot).picture.y_axis.unit == "MPa")
        await person.press("g")
        await person.until(lambda: len(screen.playback.series) == 6)
        assert screen.query_one(CurvePlot).picture.ribbons == ()


async def test_recordings_are_added_and_taken_off_by_keys(tmp_path: Path) -> None:
    async with running(tmp_path, start=start(VIRGIN[0])) as person:
        await shown(person)
        await person.press("a")
        await person.until_screen("ChooseScreen")
        assert said(person, "#question") == wording_lesson.CHOOSE_ANOTHER
        await person.until(lambda: len(person.app.screen.query("Menu")) == 1)
        await person.pilot.pause()
        await person.choose(str(BROKEN_EARLY[0]))
        screen = await shown(person)
        assert screen.paths == (VIRGIN[0], BROKEN_EARLY[0])
        await person.press("x")
        await person.until(lambda: person.app.screen is not screen)
        screen = await shown(person)
        assert screen.paths == (VIRGIN[0],)
        await person.press("enter")
        await person.until_screen("ResultScreen")


async def test_a_damaged_recording_is_a_sentence(tmp_path: Path) -> None:
    bad = tmp_path / "bad.pull.csv"
    bad.write_bytes(b"\x1b[2J nonsense \xff")
    async with running(tmp_path, start=start(bad)) as person:
        await person.until_screen("ShowScreen")
        await person.until(lambda: "bad.pull.csv" in person.notice)
        await person.press("space", "b", "s", "g", "y", "right", "end")
        assert person.screen == "ShowScreen"


async def test_every_lecturer_s_screen_explains_itself(tmp_path: Path) -> None:
    async with running(tmp_path) as person:
        await to_lesson(person)
        for name in ("lesson", "guesses", "term", "choose", "room_strand", "show"):
            person.app.go(name)
            await person.pilot.pause()
            await person.press("f1")
            await person.until_screen("HelpScreen")
            await person.press("f1")
            await person.pilot.pause()


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40), (200, 50)])
async def test_figures_are_never_cut(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path, size=size, start=start(VIRGIN[0], BROKEN_EARLY[0])) as person:
        screen = await shown(person)
        await person.press("end")
        await person.pilot.pause()
        for readout in screen.query(Readout):
            if readout.display:
                widths = [sum(len(span.text) for span in readout.row(y)) for y in range(1, readout.size.height)]
                assert max(widths) <= readout.size.width, readout.id
                assert readout.region.bottom <= size[1]


def test_start_with_recordings_is_no_start_with_a_rig() -> None:
    app = StrandbenchApp(Bench(Path()), start(VIRGIN[0]))
    assert app.start.show == (VIRGIN[0],)
    assert app.start.demo is None
