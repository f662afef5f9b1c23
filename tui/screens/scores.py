"""After a pull: who was how far off. The round is settled with the recording's elongation at break."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from statistics import median
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget

from tui import wording
from tui import wording_guesses as words
from tui.classroom.score_rows import score_rows
from tui.classroom.scores import Score, scores_of
from tui.classroom.settling import settled
from tui.messages import Settled
from tui.screens.frame import FrameScreen
from tui.widgets.readouts import Readout
from tui.widgets.row_list import RowList


class ScoresScreen(FrameScreen):
    """Show who was how far off."""

    QUESTION = words.SCORES_QUESTION
    CSS_PATH = "scores.tcss"
    ABOUT = "scores"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "result", words.TO_RESULT),
        Binding("t", "app.go('term')", words.TO_TERM),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self, path: Path, ending: str = "") -> None:
        super().__init__()
        self._path, self._ending = path, ending

    def parts(self) -> Iterable[Widget]:
        """What was measured, large, and the students below it."""
        signs = self.bench_app.signs
        with Horizontal(id="readouts"):
            yield Readout(words.SCORES_MEASURED, "%", blocks=signs.blocks, role="figure_force", id="measured")
            yield Readout(words.SCORES_MIDDLE, "%", blocks=signs.blocks, id="middle")
        with VerticalScroll(id="score-list"):
            yield RowList(id="scores")

    def on_mount(self) -> None:
        """Work the result out and settle the round with it."""
        self.query_one("#score-list").focus()
        self.tell(f"{self._ending} {wording.PULL_ANALYSING}".strip())
        path = self._path
        self.background(lambda: Settled(*settled(path)))

    def on_settled(self, message: Settled) -> None:
        """Show it."""
        if message.problem or message.round is None:
            self.tell(f"{self._ending} {message.problem}".strip(), bad=True)
            return
        self.tell(self._ending)
        self._show(scores_of(message.round))

    def _show(self, scores: list[Score]) -> None:
        signs = self.bench_app.signs
        guesses = [score.guess_pct for score in scores]
        self.query_one("#measured", Readout).show(f"{scores[0].measured_pct:.1f}")
        self.query_one("#middle", Readout).show(f"{median(guesses):.1f}")
        self.query_one(RowList).show(lambda width: score_rows(scores, width, signs))
        best = [score.student for score in scores if abs(score.off_pct) == abs(scores[0].off_pct)]
        self.ask(f"{words.SCORES_QUESTION} {words.SCORES_CLOSEST.format(students=', '.join(best))}")

    def action_result(self) -> None:
        """On to the curve, with all that is known of it."""
        self.bench_app.go("show", (self._path,), True)
