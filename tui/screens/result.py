"""What a recording shows: the verdict in words, the curve with its regions, the values, and what to know."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from tui import wording, wording_lesson
from tui.messages import ResultReady, WentWrong
from tui.screens.frame import FrameScreen
from tui.screens.pull import FORCE, LIVE_GUIDELINE_PCT, STRETCH
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.picture import Guideline, Line
from tui.widgets.value_list import ValueList
from tui.widgets.verdict_card import VerdictCard


class ResultScreen(FrameScreen):
    """Show a result."""

    STEP = 4
    QUESTION = wording.RESULT_QUESTION
    CSS_PATH = "result.tcss"
    ABOUT = "result"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "next_strand", wording.RESULT_NEXT),
        Binding("d", "details", wording.RESULT_DETAILS),
        Binding("s", "note", wording.RESULT_NOTE),
        Binding("p", "play", wording_lesson.PLAY_IT),
        Binding("l", "app.go('library')", wording.LIBRARY),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self, path: Path, ending: str = "") -> None:
        super().__init__()
        self.path = path
        self._ending = ending

    def parts(self) -> Iterable[Widget]:
        """Curve and, beside or below it, everything in words."""
        signs = self.bench_app.signs
        guideline = Guideline(LIVE_GUIDELINE_PCT, wording.GUIDELINE.format(percent=LIVE_GUIDELINE_PCT))
        yield CurvePlot(STRETCH, FORCE, guideline, signs=signs, id="curve")
        with Vertical(id="words"):
            yield VerdictCard(bar=signs.bar, id="verdict")
            with VerticalScroll(id="details"):
                yield ValueList(id="values")
                yield Static("", id="notes", markup=False)

    def on_mount(self) -> None:
        """Begin to work the result out."""
        self.query_one(CurvePlot).focus()
        self.tell(f"{self._ending} {wording.PULL_ANALYSING}".strip())
        self.background(lambda: analysed(self.path))

    def on_result_ready(self, message: ResultReady) -> None:
        """Show it."""
        shown = message.shown
        self.tell(f"{self._ending} {shown.path.name}".strip())
        self.ask(shown.title)
        self.query_one(VerdictCard).show(shown.card)
        self.query_one(ValueList).show(shown.values)
        self.query_one("#notes", Static).update("\n\n".join(shown.notes))
        self.query_one(CurvePlot).show([Line(shown.points)], shown.bands)

    def failed(self, message: WentWrong) -> None:
        """There is no result, and why."""
        self.tell(wording.RESULT_UNREADABLE.format(problem=message.sentence), bad=True)

    def action_details(self) -> None:
        """Values and notes instead of the curve, where there is no room for both; and back."""
        self.toggle_class("-details")
        wanted = "#details" if self.has_class("-details") else "#curve"
        self.query_one(wanted).focus()

    def action_play(self) -> None:
        """Play this recording on the big screen."""
        self.bench_app.go("show", (self.path,))

    def action_note(self) -> None:
        """Write a note about this pull."""
        self.bench_app.go("note", self.path)

    def action_next_strand(self) -> None:
        """Go on to the next strand; without a rig, to the choice of one."""
        bench = self.bench_app.bench
        if bench.stretcher is None:
            self.bench_app.go("connect")
        else:
            self.bench_app.go("move_back" if bench.must_move_back else "strand")


def analysed(path: Path) -> ResultReady:
    """A recording's result. Blocks, and imports the analysis."""
    from tui.shown_result import shown_result

    return ResultReady(shown_result(path))
