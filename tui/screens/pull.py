"""The pull: ready, running with its live curve and readouts, ended. Goes on to the result by itself."""

from __future__ import annotations

import time
from collections.abc import Iterable
from importlib import import_module
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget

from tui import wording
from tui.messages import PullEnded, SnapshotReady, WentWrong
from tui.screens.frame import FrameScreen
from tui.strand_form import method_of, number, specimen_of
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.picture import Axis, Guideline
from tui.widgets.readouts import Readout, force_text, stretch_text, time_text

if TYPE_CHECKING:
    from recordings.format import Method, Specimen
    from rig.outcome import PullOutcome
    from rig.snapshot import Phase, Snapshot
    from tui.feed import Feed, Update
    from tui.strand_form import StrandForm

#: The screen is drawn at most this often [s]: 30 times a second.
FRAME_S = 1 / 30

#: The figures change at most this often [s]: faster than this nobody reads them.
FIGURES_S = 0.1

STRETCH = Axis(wording.AXIS_STRETCH, "%")
FORCE = Axis(wording.AXIS_FORCE, "N")

#: The guideline that is drawn while a strand is pulled [%]; the verdict's own is in the result.
LIVE_GUIDELINE_PCT = 20.0


class PullScreen(FrameScreen):
    """Pull the strand."""

    STEP = 3
    QUESTION = wording.PULL_QUESTION
    CSS_PATH = "pull.tcss"
    ABOUT = "pull"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "pull", wording.PULL_GO),
        Binding("c", "clear_and_pull", wording.PULL_CLEARED),
        Binding("f2", "back", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._feed: Feed | None = None
        self._drawn_s = self._figures_s = 0.0
        self._phase: Phase | None = None
        self._waiting = False
        self._needs_clearing = False

    @property
    def form(self) -> StrandForm:
        """What was said of the strand."""
        form = self.bench_app.strand
        assert form is not None
        return form

    def specimen(self) -> Specimen:
        """What the recording will say of the strand."""
        return specimen_of(self.form)

    def method(self) -> Method | None:
        """How it is pulled; None for to the break, by the gauge length."""
        return method_of(self.form)

    def parts(self) -> Iterable[Widget]:
        """Readouts and curve."""
        signs = self.bench_app.signs
        with Horizontal(id="readouts"):
            yield Readout(wording.PULL_FORCE, "N", blocks=signs.blocks, role="figure_force", id="force")
            yield Readout(wording.PULL_STRETCH, "%", blocks=signs.blocks, id="stretch")
            yield Readout(wording.PULL_TIME, "min:s", blocks=signs.blocks, id="time")
        guideline = Guideline(LIVE_GUIDELINE_PCT, wording.GUIDELINE.format(percent=LIVE_GUIDELINE_PCT))
        yield CurvePlot(STRETCH, FORCE, guideline, signs=signs, id="curve")

    def on_mount(self) -> None:
        """Say what is about to happen."""
        self.query_one(CurvePlot).focus()
        self.tell(f"{wording.PULL_READY} {self._plan()}")
        self.background(load_analysis)

    def _plan(self) -> str:
        from rig.plan import RATE_PER_MIN

        gauge = number(self.form.gauge_length) or 0.0
        return wording.PULL_PLAN.format(gauge=gauge, speed=RATE_PER_MIN * gauge)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While a pull runs there is only stopping and leaving; clearing is there where something is held."""
        if action in ("pull", "back"):
            return self._feed is None
        if action == "clear_and_pull":
            return self._feed is None and self._needs_clearing
        return True

    def action_back(self) -> None:
        """Back to what was said of the strand."""
        self.bench_app.go("strand", self.form)

    def action_pull(self) -> None:
        """Take the zero and pull."""
        self._begin(clear_stop=False)

    def action_clear_and_pull(self) -> None:
        """The person has looked: the cause of the held motor is gone."""
        self._begin(clear_stop=True)

    def _begin(self, *, clear_stop: bool) -> None:
        if self._feed is not None:
            return
        bench = self.bench_app.bench
        self._needs_clearing = False
        self.query_one(CurvePlot).show([])
        self.tell("")
        wake = self._wake
        self._feed = bench.start_pull(self.specimen(), wake, clear_stop=clear_stop, method=self.method())
        self.refresh_bindings()
        self.background(lambda: PullEnded(bench.wait_for_end()))

    def _wake(self) -> None:
        """There is news; called in the pull's thread."""
        self.post_message(SnapshotReady())

    def on_snapshot_ready(self) -> None:
        """Draw what is new, now or when the time of the next frame has come."""
        if self._waiting:
            return
        wait_s = self._drawn_s + FRAME_S - time.monotonic()
        if wait_s > 0:
            self._waiting = True
            self.set_timer(wait_s, self._draw)
        else:
            self._draw()

    def _draw(self) -> None:
        self._waiting = False
        self._drawn_s = time.monotonic()
        update = self._feed.take() if self._feed is not None else None
        if update is not None:
            self._show(update)

    def _show(self, update: Update) -> None:
        snapshot = update.snapshot
        self.bench_app.bench.see(snapshot)
        if update.stretch_pct:
            self.query_one(CurvePlot).extend(update.stretch_pct, update.force_n)
        if snapshot.phase is self._phase and self._drawn_s - self._figures_s < FIGURES_S:
            return
        self._phase, self._figures_s = snapshot.phase, self._drawn_s
        self._show_figures(snapshot)
        self.ask(phase_text(snapshot))
        self.bench_app.look()

    def _show_figures(self, snapshot: Snapshot) -> None:
        self.query_one("#force", Readout).show(force_text(snapshot.force_n))
        self.query_one("#stretch", Readout).show(stretch_text(snapshot.strain_pct))
        self.query_one("#time", Readout).show(time_text(snapshot.t_s))

    def on_pull_ended(self, message: PullEnded) -> None:
        """The recording is there."""
        self._draw()
        self._feed = None
        if not self.bench_app.leaving:
            self.ended(message.outcome)

    def ended(self, outcome: PullOutcome) -> None:
        """Go on to the result of the recording."""
        self.bench_app.go("result", outcome.path, outcome.message)

    def failed(self, message: WentWrong) -> None:
        """The pull did not come to a recording."""
        self._feed = None
        self._needs_clearing = message.needs_clearing
        self.ask(self.QUESTION)
        self.refresh_bindings()
        super().failed(message)


def load_analysis() -> None:
    """Load what the result will need while the person makes ready, so that nobody waits for it after the break."""
    import_module("analysis.analyse")
    import_module("analysis.from_recording")


def phase_text(snapshot: Snapshot) -> str:
    """What the pull is at, as the screen's headline."""
    text = snapshot.phase.value
    return f"{text[0].upper()}{text[1:]}"
