"""A pull for a room: what PullScreen does, with huge readouts, the region that is passed, and the break marked.

The strand before it and the way back after it are the usual ones; they lead here instead of to the usual screen.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from tui import wording, wording_guesses, wording_lesson
from tui.classroom.live import LiveCurve
from tui.classroom.settling import is_awaited
from tui.screens.move_back import MoveBackScreen
from tui.screens.pull import FORCE, LIVE_GUIDELINE_PCT, STRETCH, PullScreen
from tui.screens.strand import StrandScreen
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.picture import Guideline, Pin
from tui.widgets.readouts import Readout, force_text, stretch_text
from tui.widgets.region_banner import RegionBanner

if TYPE_CHECKING:
    from rig.outcome import PullOutcome
    from rig.snapshot import Snapshot
    from tui.feed import Update

#: Places behind the point of a force that is read from the back of a room.
PLACES = 2


class RoomStrandScreen(StrandScreen):
    """The strand of a lesson."""

    NEXT = "room_pull"
    CHOOSES_KIND = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "app.go('lesson')", wording.BACK),
        Binding("f8", "app.visit('guesses')", wording_guesses.GUESSES),
    ]


class RoomBackScreen(MoveBackScreen):
    """Moving back in a lesson."""

    NEXT = "room_strand"


class RoomPullScreen(PullScreen):
    """Pull a strand for the room."""

    CSS_PATH = "room.tcss"
    ABOUT = "room_pull"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f8", "guesses", wording_guesses.GUESSES)]

    def __init__(self) -> None:
        super().__init__()
        self.add_class("room")
        self._live = LiveCurve()

    def parts(self) -> Iterable[Widget]:
        """Two readouts, the region, and the curve."""
        signs = self.bench_app.signs
        with Vertical(id="side"):
            with Horizontal(id="readouts"):
                yield Readout(wording.PULL_STRETCH, "%", blocks=signs.blocks, id="stretch")
                yield Readout(wording.PULL_FORCE, "N", blocks=signs.blocks, role="figure_force", id="force")
            yield RegionBanner(blocks=signs.blocks, id="region")
        guideline = Guideline(LIVE_GUIDELINE_PCT, wording.GUIDELINE.format(percent=LIVE_GUIDELINE_PCT))
        with Vertical(id="wall"):
            yield CurvePlot(STRETCH, FORCE, guideline, signs=signs, id="curve")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Guesses are typed before the pull, not while it runs."""
        if action == "guesses":
            return self._feed is None
        return super().check_action(action, parameters)

    def action_guesses(self) -> None:
        """Type guesses, and come back."""
        self.bench_app.action_visit("guesses")

    def action_back(self) -> None:
        """Back to what was said of the strand."""
        self.bench_app.go("room_strand", self.form)

    def _begin(self, *, clear_stop: bool) -> None:
        if self._feed is None:
            self._live = LiveCurve()
        super()._begin(clear_stop=clear_stop)

    def _show(self, update: Update) -> None:
        super()._show(update)
        self._live.take_in(update.stretch_pct, update.force_n)
        self.query_one(RegionBanner).show([self._live.passage()])
        broke = self._live.broke
        pins = [Pin(*broke, wording_lesson.BREAK_AT.format(percent=broke[0]))] if broke is not None else []
        self.query_one("#curve", CurvePlot).mark(pins)

    def _show_figures(self, snapshot: Snapshot) -> None:
        self.query_one("#force", Readout).show(force_text(snapshot.force_n, PLACES))
        self.query_one("#stretch", Readout).show(stretch_text(snapshot.strain_pct))

    def ended(self, outcome: PullOutcome) -> None:
        """On to the scores where there are guesses, else to the curve with all that is known of it."""
        if is_awaited():
            self.bench_app.go("scores", outcome.path, outcome.message)
        else:
            self.bench_app.go("show", (outcome.path,), True)
