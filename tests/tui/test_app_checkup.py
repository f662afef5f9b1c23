"""The health check in the app: by keys, on the simulated rig; the stop key works in it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Static

from tests.tui.driver import Driver, running, settings


@pytest.fixture(autouse=True)
def _listen_shortly(monkeypatch: pytest.MonkeyPatch) -> None:
    """As short as the figures allow."""
    from rig.checkup import run_checkup

    monkeypatch.setitem(run_checkup.__kwdefaults__, "listen_s", 1.0)


def found(driver: Driver) -> str:
    return str(driver.app.screen.query_one("#checkup-found", Static).render())


async def to_checkup(driver: Driver) -> None:
    await driver.to_strand()
    driver.app.go("checkup")
    await driver.until_screen("CheckupScreen")


async def test_a_sound_rig_is_checked_and_moved(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=1.0)) as person:
        await to_checkup(person)
        await person.press("enter")
        await person.until(lambda: "lost steps" in found(person))
        assert "✘" not in found(person)
        assert not person.complained


async def test_without_moving_the_steps_are_not_checked(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=1.0)) as person:
        await to_checkup(person)
        await person.press("s")
        await person.until(lambda: "lost steps" in found(person))
        assert "Moving was not allowed" in found(person)


async def test_a_frozen_amplifier_is_bad_and_says_what_to_do(tmp_path: Path) -> None:
    async with running(tmp_path, settings("virgin", "freeze@start+0", time_scale=1.0)) as person:
        await to_checkup(person)
        await person.press("s")
        await person.until(lambda: "✘" in found(person))
        assert person.complained


async def test_the_stop_key_ends_the_motion(tmp_path: Path) -> None:
    async with running(tmp_path, settings(time_scale=1.0)) as person:
        await to_checkup(person)
        await person.press("enter")
        await person.until(lambda: person.moving)
        await person.press("escape")
        await person.until(lambda: "lost steps" in found(person))
        await person.until(lambda: not person.moving)
        assert "not checked" in found(person)
