"""Over the term: whether the guesses come closer, student by student and for all together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui import wording_guesses as words
from tui.classroom.guesses import read_book
from tui.classroom.score_rows import term_rows
from tui.classroom.scores import terms_of, whole_class
from tui.messages import TermReady
from tui.screens.frame import FrameScreen
from tui.widgets.row_list import RowList


class TermScreen(FrameScreen):
    """Show the term."""

    QUESTION = words.TERM_QUESTION
    CSS_PATH = "scores.tcss"
    ABOUT = "term"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2,enter", "app.go('lesson')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The table, and what its columns mean."""
        with VerticalScroll(id="score-list"):
            yield RowList(id="terms")
        yield Static(words.TERM_ABOUT, classes="remark", markup=False)

    def on_mount(self) -> None:
        """Work it out."""
        self.query_one("#score-list").focus()
        self.background(term)

    def on_term_ready(self, message: TermReady) -> None:
        """Show it."""
        signs = self.bench_app.signs
        self.tell(message.problem or ("" if message.terms else words.TERM_EMPTY), bad=bool(message.problem))
        self.query_one(RowList).show(lambda _: term_rows(message.terms, signs))


def term() -> TermReady:
    """Every student's term, then that of all together. Blocks. Raises StoreProblem."""
    book = read_book()
    together = whole_class(book.rounds)
    return TermReady((*terms_of(book.rounds), *([together] if together else [])), book.problem)
