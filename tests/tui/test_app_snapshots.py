"""A few pictures of the app, by width of the terminal, held against the ones that were looked at and found good."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from recordings.format import ForceCalibration
from rig.inbox import LinkHealth
from rig.scale import Scale
from rig.snapshot import Phase, Snapshot
from tui.app import StrandbenchApp
from tui.bench import Bench
from tui.feed import Feed, Update
from tui.messages import ResultReady
from tui.own_rig import INVENTED_REFERENCE
from tui.screens.pull import PullScreen
from tui.shown_result import ShownResult, Value
from tui.strand_form import StrandForm
from tui.widgets.link_status import RigState
from tui.widgets.picture import Band
from tui.widgets.points import Points
from tui.widgets.signs import BRAILLE
from tui.widgets.verdict_card import Card

SIZES = [(80, 24), (120, 40)]

STANDING = RigState(connected=True, name="bench 1", simulated=True)
PULLING = RigState(
    connected=True, name="bench 1", simulated=True, rate_hz=80.0, moving=True, doing="pulling: keep fingers away"
)

FORM = StrandForm(reference=INVENTED_REFERENCE, zone="crown", history="lightened once", diameter="72")


def force_n(stretch_pct: float) -> float:
    """An invented curve of three straight parts."""
    x = stretch_pct
    return min(x, 3) * 0.16 + max(0.0, min(x, 28) - 3) * 0.003 + max(0.0, x - 28) * 0.02


CURVE_PCT = [0.1 * i for i in range(430)]

RESULT = ShownResult(
    path=Path("2026-01-01_invented-head.pull.csv"),
    title="invented-head, crown, lightened once, dry",
    simulated=True,
    card=Card(
        "✔",
        "Meets the guideline of 20 %",
        "good",
        "The strand stretched 42.9 % ± 1.2 % before it broke. This is one of several tests.",
    ),
    values=(
        Value("elongation_at_break_pct", "elongation at break", "42.9 %", "1.2 %"),
        Value("force_max_n", "greatest force", "0.853 N", "0.002 N"),
    ),
    notes=("The strand was slack by 0.51 mm: taken out, strain counts from there.",),
    guideline_pct=20.0,
    points=Points(CURVE_PCT, map(force_n, CURVE_PCT)),
    bands=(Band("elastic", 0, 3), Band("yield", 3, 28), Band("post-yield", 28, 42.9)),
)


def app_on(screen: str, state: RigState, *given: object) -> StrandbenchApp:
    """The app with one screen shown and a rig that is in a given state."""

    bench = Bench(Path("nowhere"))
    bench.state = lambda: state  # type: ignore[method-assign]
    app = StrandbenchApp(bench, signs=BRAILLE)
    go = app.go
    app.go = lambda name, *_: go(screen, *given)  # type: ignore[method-assign]
    app.theme = "peat"
    app.strand = FORM
    return app


@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}")
def test_strand(snap_compare: Callable[..., bool], size: tuple[int, int]) -> None:
    async def without_blinking(pilot: Pilot[Any]) -> None:
        await pilot.pause()
        for line in pilot.app.screen.query(Input):
            line.cursor_blink = False
        await pilot.pause()

    assert snap_compare(app_on("strand", STANDING, FORM), terminal_size=size, run_before=without_blinking)


@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}")
def test_pull(snap_compare: Callable[..., bool], size: tuple[int, int]) -> None:
    async def halfway(pilot: Pilot[Any]) -> None:
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, PullScreen)
        points = Points(CURVE_PCT[:310], map(force_n, CURVE_PCT[:310]))
        screen.tell("")
        screen._feed = Feed(lambda: None)
        screen.refresh_bindings()
        screen._show(
            Update(
                Snapshot(
                    phase=Phase.PULLING,
                    scale=Scale(ForceCalibration(1e-6), None, 30.0),
                    health=LinkHealth(),
                    t_s=51.6,
                    force_n=points.y[-1],
                    strain_pct=points.x[-1],
                ),
                points.x,
                points.y,
            )
        )
        await pilot.pause()

    assert snap_compare(app_on("pull", PULLING), terminal_size=size, run_before=halfway)


@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}")
def test_result(snap_compare: Callable[..., bool], monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]) -> None:
    monkeypatch.setattr("tui.screens.result.analysed", lambda path: ResultReady(RESULT))

    async def shown(pilot: Pilot[Any]) -> None:
        while not any(view.card for view in pilot.app.screen.query("#verdict")):
            await pilot.pause(0.02)
        await pilot.pause()

    assert snap_compare(app_on("result", STANDING, RESULT.path), terminal_size=size, run_before=shown)
