"""Every palette can be put on at any time, the one without colours too, and a terminal without colour begins so."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.driver import running
from tui.palettes import PALETTES


async def test_every_look_in_turn_on_a_screen_with_an_input(tmp_path: Path) -> None:
    async with running(tmp_path) as person:
        person.app.go("address")
        await person.until_screen("AddressScreen")
        seen = []
        for _ in range(len(PALETTES) + 1):
            await person.press("f3")
            await person.pilot.pause()
            seen.append(person.app.theme)
        assert set(seen) == set(PALETTES)
        assert person.screen == "AddressScreen"


async def test_no_colour_is_begun_with_where_the_person_wants_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(tmp_path) as person:
        assert person.app.theme == "bare"
        await person.press("f3")
        await person.pilot.pause()
        assert person.app.theme == "peat"
