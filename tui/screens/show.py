"""Recordings played to a room: huge readouts, the curves growing in step, each region named as it is passed."""

from __future__ import annotations

import time
from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widget import Widget

from tui import wording
from tui import wording_lesson as words
from tui.classroom.passages import passages_at, progress_at
from tui.classroom.playback import LEAP_PCT, STEP_PCT, Playback
from tui.classroom.series import Reel, Series, load_reel
from tui.messages import ReelReady, WentWrong
from tui.screens.frame import FrameScreen
from tui.screens.pull import FORCE, FRAME_S
from tui.widgets.picture import Axis
from tui.widgets.play_line import PlayLine
from tui.widgets.readouts import Readout, stretch_text
from tui.widgets.region_banner import RegionBanner
from tui.widgets.stage import Stage

STRESS = Axis(words.STRESS_TITLE, "MPa")

#: Places behind the point of a load that is read from the back of a room, by its unit.
PLACES = {FORCE.unit: 2, STRESS.unit: 0}

#: Curves that have a readout of their own.
MOST_READOUTS = 3


class ShowScreen(FrameScreen):
    """Play recordings."""

    QUESTION = words.PLAY_LOADING
    CSS_PATH = "room.tcss"
    ABOUT = "show"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "play", words.PLAY, key_display="Space"),
        Binding("right", f"step({STEP_PCT})", words.PLAY_STEP, key_display="← →"),
        Binding("left", f"step(-{STEP_PCT})", words.PLAY_STEP, show=False),
        Binding("shift+right", f"step({LEAP_PCT})", words.PLAY_LEAP, show=False),
        Binding("shift+left", f"step(-{LEAP_PCT})", words.PLAY_LEAP, show=False),
        Binding("up", "faster(1)", words.PLAY_SPEED, key_display="↑ ↓"),
        Binding("down", "faster(-1)", words.PLAY_SPEED, show=False),
        Binding("b", "to('break')", words.PLAY_BREAK),
        Binding("home", "to('start')", words.PLAY_START, show=False),
        Binding("end", "to('end')", words.PLAY_END, show=False),
        Binding("a", "add", words.PLAY_ADD),
        Binding("x", "fewer", words.PLAY_FEWER),
        Binding("s", "beside", words.PLAY_BESIDE),
        Binding("g", "groups", words.PLAY_GROUPS),
        Binding("y", "stress", words.PLAY_STRESS),
        Binding("enter", "result", words.PLAY_RESULT),
        Binding("n", "next_strand", words.NEXT_STRAND),
        Binding("f2", "app.go('lesson')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self, paths: tuple[Path, ...] = (), at_end: bool = False) -> None:
        super().__init__()
        self.add_class("room")
        self.paths = paths
        self._at_end = at_end
        self._reel: Reel | None = None
        self._grouped = self._beside = self._stress = False
        self._beat: Timer | None = None
        self._beaten_s = 0.0
        self.playback = Playback((), 1.0)

    def parts(self) -> Iterable[Widget]:
        """Readouts and banner, the plots, and how far it has come."""
        signs = self.bench_app.signs
        with Vertical(id="side"):
            with Horizontal(id="readouts"):
                yield Readout(wording.PULL_STRETCH, "%", blocks=signs.blocks, id="stretch")
                for number in range(MOST_READOUTS):
                    yield Readout("", "", blocks=signs.blocks, role=f"line{number}", id=f"load{number}")
            yield RegionBanner(blocks=signs.blocks, id="region")
        with Vertical(id="wall"):
            yield Stage(signs, id="stage")
            yield PlayLine(signs, id="play-line")

    def on_mount(self) -> None:
        """Work the curves out."""
        self._beat = self.set_interval(FRAME_S, self._on_beat, pause=True)
        paths = self.paths
        self.background(lambda: ReelReady(load_reel(paths)))

    async def on_reel_ready(self, message: ReelReady) -> None:
        """Show what there is to play."""
        self._reel = reel = message.reel
        self.playback.rate_pct_s = reel.rate_pct_s
        self._grouped = bool(reel.groups)
        self.ask(words.SIMULATED_TITLE.format(title=reel.title) if reel.simulated else reel.title)
        self.tell(" ".join(reel.problems), bad=True)
        if self.bench_app.class_page is not None:
            self.bench_app.class_page.show_reel(reel)
        await self._set_up()
        if self._at_end:
            self.playback.to_end()
        self._draw()
        self.refresh_bindings()

    def failed(self, message: WentWrong) -> None:
        """There is nothing to play, and why."""
        self.ask(words.CHOOSE_QUESTION)
        super().failed(message)

    # -- what is shown ------------------------------------------------------------------------------------

    def _series(self) -> tuple[Series, ...]:
        """The curves as they are wanted now."""
        reel = self._reel
        if reel is None:
            return ()
        if self._stress:
            return reel.groups_mpa if self._grouped else reel.strands_mpa
        return reel.groups if self._grouped else reel.strands

    @property
    def _axis(self) -> Axis:
        return STRESS if self._stress else FORCE

    async def _set_up(self) -> None:
        """Put the curves on the stage; the playhead stays where it is."""
        series, reel = self._series(), self._reel
        if reel is None:
            return
        self.playback.show(series)
        stage = self.query_one(Stage)
        await stage.show(series, self._axis, reel.guideline_pct, beside=self._beside and len(series) > 1)
        for number in range(MOST_READOUTS):
            self.query_one(f"#load{number}", Readout).display = number < len(series)
        self.set_class(len(series) > 1, "-several")
        self.query_one(RegionBanner).display = any(one.regions for one in series)
        self._draw()

    def _draw(self) -> None:
        """Show everything at the playhead."""
        playback = self.playback
        self.query_one(Stage).move(playback.at_pct)
        self.query_one("#stretch", Readout).show(stretch_text(playback.at_pct))
        unit, places = self._axis.unit, PLACES[self._axis.unit]
        for number, one in enumerate(playback.series[:MOST_READOUTS]):
            readout, value = self.query_one(f"#load{number}", Readout), one.value_at(playback.at_pct)
            readout.rename(self._label_of(one), unit)
            readout.show(None if value is None else f"{round(value, places) + 0.0:.{places}f}")
        self.query_one(RegionBanner).show(passages_at(playback.series, playback.at_pct, unit, places))
        self.query_one(PlayLine).show(progress_at(playback))
        if self._beat is not None and not playback.playing:
            self._beat.pause()

    def _label_of(self, one: Series) -> str:
        alone = len(self.playback.series) == 1
        name = self._axis.title.lower() if alone else one.name
        ended = one.end_word and self.playback.at_pct >= one.ends_pct
        return f"{self.bench_app.signs.pin} {name}" if ended else name

    def _on_beat(self) -> None:
        """Time has passed."""
        now = time.monotonic()
        self.playback.passed(now - self._beaten_s)
        self._beaten_s = now
        self._draw()

    # -- keys ---------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What makes no sense with these recordings is not offered."""
        reel = self._reel
        if action in ("play", "step", "faster", "to"):
            return reel is not None
        if action in ("beside", "fewer"):
            return reel is not None and len(self.paths) > 1
        if action == "result":
            return len(self.paths) == 1
        if action == "groups":
            return reel is not None and bool(reel.groups)
        if action == "stress":
            return reel is not None and bool(reel.strands_mpa)
        return True

    def action_play(self) -> None:
        """Play, or stand."""
        self.playback.play_or_pause()
        if self._beat is not None and self.playback.playing:
            self._beaten_s = time.monotonic()
            self._beat.resume()
        self._draw()

    def action_step(self, by_pct: float) -> None:
        """A step, or a leap, on or back."""
        self.playback.step(by_pct)
        self._draw()

    def action_faster(self, steps: int) -> None:
        """Faster or slower."""
        self.playback.faster(steps)
        self._draw()

    def action_to(self, where: str) -> None:
        """To the start, to the end, or to where the next curve ends."""
        playback = self.playback
        {"start": playback.to_start, "end": playback.to_end, "break": playback.to_break}[where]()
        self._draw()

    async def action_beside(self) -> None:
        """Side by side, or all in one plot."""
        if not self._beside and not self.query_one(Stage).has_room_beside(len(self.playback.series)):
            self.tell(words.NO_ROOM_BESIDE, bad=True)
            return
        self._beside = not self._beside
        await self._set_up()

    async def action_groups(self) -> None:
        """Groups with their spread, or every strand."""
        self._grouped = not self._grouped
        await self._set_up()

    async def action_stress(self) -> None:
        """Stress, or force."""
        self._stress = not self._stress
        await self._set_up()

    def action_add(self) -> None:
        """Choose a further recording."""
        self.bench_app.go("choose", self.paths)

    def action_fewer(self) -> None:
        """Without the recording that was added last."""
        self.bench_app.go("show", self.paths[:-1])

    def action_next_strand(self) -> None:
        """Pull the next strand for the room, over the choice of a rig where there is none."""
        self.bench_app.go_with_rig("room_back" if self.bench_app.bench.must_move_back else "room_strand")

    def action_result(self) -> None:
        """The result of the one recording."""
        self.bench_app.go("result", self.paths[0])
