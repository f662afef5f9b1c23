"""Before a pull: what each student guesses by finger, typed in one after the other, and kept as it is typed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui import wording_guesses as words
from tui.classroom.guesses import Round, Typed, keep_guess, new_round, read_book, understood
from tui.screens.frame import FrameScreen
from tui.store.place import StoreProblem
from tui.widgets.cells import Span
from tui.widgets.field import Field
from tui.widgets.row_list import RowList

#: Cells for one guess in the list.
GUESS_CELLS = 16


class GuessesScreen(FrameScreen):
    """Type guesses; the round stays open until a pull settles it, whatever happens to the program."""

    QUESTION = words.QUESTION
    CSS_PATH = "scores.tcss"
    ABOUT = "guesses"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", words.GO_ON),
        Binding("f4", "show_or_hide", words.SHOW_OR_HIDE),
        Binding("f2", "back", wording.BACK),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._round: Round | None = None
        self._shown = False

    def parts(self) -> Iterable[Widget]:
        """The line to type into, and who has guessed."""
        yield Static(words.ABOUT, classes="remark", markup=False)
        yield Field("guess", words.LABEL, words.HINT)
        yield Static("", id="count", markup=False)
        with VerticalScroll(id="guess-list", can_focus=False):
            yield RowList(id="guesses")

    def on_mount(self) -> None:
        """Go on with the round that is open."""
        self.query_one(Field).input.focus()
        self._read()

    def _read(self) -> None:
        """Show what is kept."""
        try:
            book = read_book()
        except StoreProblem as problem:
            self.tell(f"{problem}.", bad=True)
            return
        name = self._round.name if self._round is not None else ""
        self._round = book.round_named(name) or book.open_round(datetime.now().astimezone())
        if book.problem:
            self.tell(book.problem, bad=True)
        self._draw()

    def _draw(self) -> None:
        guesses = self._round.guesses if self._round is not None else ()
        texts = [f"{g.student:<6} {g.guess_pct:5.1f} %" if self._shown else g.student for g in guesses]
        count = (words.COUNT_SHOWN if self._shown else words.COUNT).format(count=len(texts))
        self.query_one("#count", Static).update(count if texts else words.NOBODY_YET)
        self.query_one(RowList).show(lambda width: in_columns(texts, width))

    def action_show_or_hide(self) -> None:
        """Show the guesses, or the codes alone, so that nobody is led by somebody else's."""
        self._shown = not self._shown
        self._draw()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """One line is typed."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Keep what was typed; with nothing typed, go on to the strand."""
        line = self.query_one(Field).input
        if not line.value.strip():
            self._leave()
            return
        typed = understood(line.value)
        if typed.problem:
            self.tell(typed.problem, bad=True)
            return
        self._keep(typed, line)

    def _keep(self, typed: Typed, line: Input) -> None:
        known = {guess.student for guess in self._round.guesses} if self._round is not None else set()
        if typed.guess_pct is None and typed.student not in known:
            self.tell(words.NO_SUCH.format(student=typed.student), bad=True)
            return
        now = datetime.now().astimezone()
        name = self._round.name if self._round is not None else new_round(now)
        try:
            keep_guess(name, typed.student, typed.guess_pct, now)
        except StoreProblem as problem:
            self.tell(f"{problem}.", bad=True)
            return
        line.value = ""
        self.tell(self._said(typed, changed=typed.student in known))
        self._read()

    def _said(self, typed: Typed, *, changed: bool) -> str:
        if typed.guess_pct is None:
            sentence = words.TAKEN_BACK
        elif changed:
            sentence = words.CHANGED
        else:
            sentence = words.KEPT if self._shown else words.KEPT_HIDDEN
        return sentence.format(student=typed.student, guess=typed.guess_pct or 0.0)

    def _leave(self) -> None:
        """On to the strand, or back to the pull that waits."""
        if len(self.app.screen_stack) > 2:
            self.app.pop_screen()
        else:
            self.bench_app.go_with_rig("room_strand")

    def action_back(self) -> None:
        """Back to where the person came from."""
        if len(self.app.screen_stack) > 2:
            self.app.pop_screen()
        else:
            self.bench_app.go("lesson")


def in_columns(texts: Sequence[str], width: int) -> list[list[Span]]:
    """Short texts side by side, in as many columns as there is room for."""
    columns = max(width // GUESS_CELLS, 1)
    return [
        [Span(f" {text:<{GUESS_CELLS - 1}}", "text") for text in texts[start : start + columns]]
        for start in range(0, len(texts), columns)
    ]
