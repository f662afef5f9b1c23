"""Two recordings beside each other: both curves in one plot, and every value with the difference."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui import wording_library as words
from tui.screens.frame import FrameScreen
from tui.screens.pull import FORCE, LIVE_GUIDELINE_PCT, STRETCH
from tui.widgets.curve_plot import CurvePlot
from tui.widgets.picture import Guideline, Line
from tui.widgets.row_list import RowList

if TYPE_CHECKING:
    from tui.library.pair import Pair


class PairReady(Message, bubble=False):
    """Both results are known."""

    def __init__(self, pair: Pair) -> None:
        super().__init__()
        self.pair = pair


class LibraryPairScreen(FrameScreen):
    """Compare two."""

    QUESTION = words.PAIR_QUESTION
    CSS_PATH = "library_pair.tcss"
    ABOUT = "library_pair"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "app.go('library')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self, first: Path, second: Path) -> None:
        super().__init__()
        self._paths = (first, second)

    def parts(self) -> Iterable[Widget]:
        """Plot and table."""
        guideline = Guideline(LIVE_GUIDELINE_PCT, wording.GUIDELINE.format(percent=LIVE_GUIDELINE_PCT))
        yield CurvePlot(STRETCH, FORCE, guideline, signs=self.bench_app.signs, id="curve")
        with VerticalScroll(id="table", classes="scrolled"):
            yield RowList(id="values")
            yield Static(words.PAIR_NOTE, classes="remark", markup=False)

    def on_mount(self) -> None:
        """Begin to work both out."""
        self.query_one(CurvePlot).focus()
        self.tell(words.PAIR_READING)
        paths = self._paths

        def work() -> PairReady:
            from tui.library.pair import pair_of

            return PairReady(pair_of(*paths))

        self.background(work)

    def on_pair_ready(self, message: PairReady) -> None:
        """Show both."""
        pair = message.pair
        self.tell("")
        self.query_one(CurvePlot).show([Line(side.points, side.name) for side in (pair.first, pair.second)])
        self.query_one(RowList).show(pair.rows)
