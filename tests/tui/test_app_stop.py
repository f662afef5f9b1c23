"""Stopping in the app: from every focus, by every way out; what must never be lost; faults during a pull."""

from __future__ import annotations

import asyncio
import threading
from pathlib import Path

import pytest
from textual.events import Key
from textual.widgets import Input

from firmware_protocol.vocabulary import StopReason
from recordings.format import Recording
from recordings.reader import read_recording
from rig.simulated.server import Server
from tests.tui.driver import Driver, running, settings
from tui import wording
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.field import Field
from tui.widgets.stop_bar import StopBar

#: Slow enough that a strand is still whole while somebody presses a key.
UNHURRIED = 4.0


def board_of(driver: Driver) -> Server:
    """The simulated rig behind the app's own port."""
    own_rig = driver.app.bench.own_rig
    assert own_rig is not None
    return own_rig._server


def only_recording(folder: Path) -> Recording:
    (path,) = folder.glob("*.pull.csv")
    return read_recording(path)


async def until_stopped_by_host(driver: Driver) -> None:
    """Until the board itself stands still, because the host said so."""
    machine = board_of(driver).board.machine
    await driver.until(lambda: not machine.stage.moving)
    assert machine.reason == StopReason.COMMAND


async def test_the_stop_key_works_with_the_curve_focused(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        await person.press("right", "plus", "escape")
        await until_stopped_by_host(person)
        await person.until_screen("ResultScreen")
    end = only_recording(tmp_path).end
    assert end is not None
    assert end.reason == "key"


async def test_the_stop_key_works_while_the_help_is_read(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        await person.press("f1")
        assert person.screen == "HelpScreen"
        await person.press("escape")
        await until_stopped_by_host(person)


async def test_the_stop_key_works_with_nothing_focused(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        person.app.screen.set_focus(None)
        await person.press("escape")
        await until_stopped_by_host(person)


async def test_the_stop_key_hit_together_with_another_key_stops_too(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        person.app.post_message(Key("alt+x", None))
        await until_stopped_by_host(person)


async def test_a_click_on_the_stop_bar_stops(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        await person.pilot.click(StopBar)
        await until_stopped_by_host(person)


async def test_the_stop_key_works_while_somebody_types(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=1.0)) as person:
        await person.to_strand()
        stretcher = person.app.bench.stretcher
        assert stretcher is not None
        jog = threading.Thread(target=lambda: stretcher.jog(20.0), daemon=True)
        jog.start()
        machine = board_of(person).board.machine
        await person.until(lambda: machine.stage.moving)
        line = person.app.screen.query_one("#reference", Field).query_one(Input)
        line.focus()
        await person.press("a", "space", "b", "escape")
        await until_stopped_by_host(person)
        assert line.value.endswith("a b")
        await asyncio.to_thread(jog.join, 10.0)


async def test_the_stop_key_does_nothing_else(tmp_path: Path) -> None:
    async with running(tmp_path, settings()) as person:
        await person.to_pull()
        await person.press("escape", "escape")
        assert person.screen == "PullScreen"
        assert list(tmp_path.iterdir()) == []


async def test_moving_back_can_be_stopped_and_taken_up_again(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        await person.until(lambda: (person.app.screen.query_one("#stretch").value) not in ("--", "0.0", "0.1"))
        await person.press("escape")
        await person.until_screen("ResultScreen")
        await person.press("n")
        await person.until_screen("MoveBackScreen")
        await person.press("enter")
        await person.until(lambda: board_of(person).board.machine.stage.moving)
        await person.press("escape")
        await person.until(lambda: "stopped on its way" in person.notice or person.screen == "StrandScreen")
        if person.screen == "MoveBackScreen":
            await person.press("enter")
        await person.until_screen("StrandScreen")


@pytest.mark.parametrize("key", ["ctrl+q", "q"])
async def test_leaving_during_a_pull_stops_the_motor_and_ends_the_recording_first(tmp_path: Path, key: str) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        machine = board_of(person).board.machine
        await person.press(key)
        await person.until(lambda: person.app._exit)
        assert not machine.stage.moving
        assert machine.reason == StopReason.COMMAND
    recording = only_recording(tmp_path)
    assert recording.complete
    assert recording.end is not None
    assert recording.end.reason == "key"


async def test_the_cable_pulled_out_during_a_pull_leaves_a_recording_and_a_sentence(tmp_path: Path) -> None:
    async with running(tmp_path, settings("virgin", "unplug@5")) as person:
        await person.to_moving()
        await person.until_screen("ResultScreen")
        await person.until(lambda: person.app.bench.state().link_gone)
        await person.until(lambda: "LINK LOST" in screen_text(person))
        await person.press("escape", "n")
    recording = only_recording(tmp_path)
    assert recording.end is not None
    assert recording.end.reason in ("link_lost", "silence")


async def test_an_emergency_stop_must_have_been_looked_at_before_the_next_pull(tmp_path: Path) -> None:
    async with running(tmp_path, settings("virgin", "emergency-stop@5")) as person:
        await person.to_moving()
        await person.until_screen("ResultScreen")
        assert "emergency stop" in person.notice.lower()
        person.app.go("pull")
        await person.until_screen("PullScreen")
        await person.until(lambda: not board_of(person).board.machine.emergency_pressed)
        await person.press("c")
        assert len(list(tmp_path.iterdir())) == 1
        await person.press("enter")
        await person.until(lambda: person.complained)
        assert "emergency stop" in person.notice
        await person.press("c")
        await person.until(lambda: len(list(tmp_path.glob("*.pull.csv"))) == 2)


async def test_a_terminal_resized_during_a_pull_goes_on_showing_it(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=UNHURRIED)) as person:
        await person.to_moving()
        for size in ((40, 10), (20, 5), (200, 60), (80, 24)):
            await person.pilot.resize_terminal(*size)
            await person.pilot.pause(0.05)
            assert person.moving
        assert wording.TOO_SMALL[:9] not in screen_text(person)
        plot = person.app.screen.query_one(CurvePlot)
        before = len(plot.picture.lines[0].points)
        await person.until(lambda: len(plot.picture.lines[0].points) > before)
        await person.pilot.resize_terminal(20, 5)
        await person.until(lambda: wording.TOO_SMALL[:9] in screen_text(person))
        await person.press("escape")
        await until_stopped_by_host(person)


async def test_a_tiny_terminal_says_what_to_do(tmp_path: Path) -> None:
    async with running(tmp_path, size=(20, 5)) as person:
        text = " ".join(screen_text(person).split())
        assert wording.TOO_SMALL in text
        assert wording.TOO_SMALL_STOP in text
        assert "Traceback" not in text


def screen_text(driver: Driver) -> str:
    """All that stands on the screen."""
    app = driver.app
    width, height = app.size
    lines = app.screen._compositor.render_strips(app.size) if width and height else []
    return "\n".join("".join(segment.text for segment in strip) for strip in lines)
