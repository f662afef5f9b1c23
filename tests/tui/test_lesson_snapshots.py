"""Pictures of the big screen at three widths: two invented strands in step, one of them broken."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from analysis.results import Region
from tests.tui.test_app_snapshots import app_on
from tui.classroom.series import Reel, Series
from tui.screens.show import ShowScreen
from tui.widgets.link_status import RigState

#: An invented strand: corners of its curve as stretch [%] and force [N].
CORNERS = ((0.0, 0.0), (2.5, 0.40), (28.0, 0.52), (45.0, 0.95))


def force_n(stretch_pct: float, weaker: float) -> float:
    for (x0, y0), (x1, y1) in pairwise(CORNERS):
        if stretch_pct <= x1:
            return weaker * (y0 + (y1 - y0) * (stretch_pct - x0) / (x1 - x0))
    return weaker * CORNERS[-1][1]


def strand(name: str, ends_pct: float, weaker: float) -> Series:
    xs = tuple(number / 10 for number in range(round(ends_pct * 10) + 1))
    corners = [("elastic", 0.0, 2.5), ("yield", 2.5, 28.0), ("post_yield", 28.0, 45.0)]
    regions = tuple(Region(word, start, min(end, ends_pct)) for word, start, end in corners if start < ends_pct)
    ys = tuple(force_n(x, weaker) for x in xs)
    return Series(name, xs, ys, end_word="broke", broke=True, regions=regions, reached=xs)


STRANDS = (strand("untreated", 45.0, 1.0), strand("lightened twice", 14.0, 0.6))
REEL = Reel("untreated against lightened twice", True, STRANDS, (), (), (), 20.0, 1.0)


@pytest.mark.parametrize(
    ("size", "keys"), [((80, 24), ["b"]), ((120, 40), ["b", "s"]), ((200, 50), ["end"])], ids=("80", "120", "200")
)
def test_two_strands(
    snap_compare: Callable[..., bool], monkeypatch: pytest.MonkeyPatch, size: tuple[int, int], keys: list[str]
) -> None:
    monkeypatch.setattr("tui.screens.show.load_reel", lambda paths: REEL)

    async def shown(pilot: Pilot[Any]) -> None:
        screen = pilot.app.screen
        assert isinstance(screen, ShowScreen)
        while not screen.playback.series:
            await pilot.pause(0.02)
        await pilot.press(*keys)
        await pilot.pause()

    app = app_on("show", RigState(), (Path("a.pull.csv"), Path("b.pull.csv")))
    assert snap_compare(app, terminal_size=size, run_before=shown)
