"""The strands of the check: which is next and from where, what each showed, and what to do about a spoilt one."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui import wording_check as words
from tui.check.card import Card
from tui.check.course import Check, finish, undo
from tui.check.judged import Judged
from tui.screens.check_frame import CheckScreen, JudgedReady
from tui.widgets.strand_rows import StrandRows, rows_of


class StraysFound(Message, bubble=False):
    """Recordings of the check that the card does not know were found."""

    def __init__(self, paths: list[Path]) -> None:
        super().__init__()
        self.paths = paths


class CheckStrandsScreen(CheckScreen):
    """Go from strand to strand. With `resumed` the folder is searched for a pull that the card does not know."""

    STEP = 2
    QUESTION = words.STRAND_WORKING
    ABOUT = "check_strands"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("r", "repeat", words.STRAND_REPEAT),
        Binding("u", "undo", words.STRAND_UNDO),
        Binding("f", "finish", words.STRAND_FINISH),
        Binding("c", "app.go('card')", words.STRAND_CARD),
        Binding("f2", "app.go('check')", wording.BACK),
    ]

    def __init__(self, resumed: bool = False, said: str = "") -> None:
        super().__init__()
        self._said = said
        self._resumed = resumed
        self._judged: Judged | None = None

    def parts(self) -> Iterable[Widget]:
        """What to do, and the list."""
        yield Static("", classes="remark", id="how", markup=False)
        with VerticalScroll(id="check-strands"):
            yield StrandRows()

    def on_mount(self) -> None:
        """Show where the check stands; work out what its pulls showed."""
        self.query_one("#check-strands").focus()
        self._show()
        self.tell(self._said)
        self.judge()
        if self._resumed:
            card, folder = self.card, self.bench_app.bench.directory
            self.background(lambda: _find_strays(card, folder))

    def on_strays_found(self, message: StraysFound) -> None:
        """A pull that had been under way when the program ended belongs to the check."""
        from tui.check.strays import with_strays

        at = self.desk.clock()
        if self.change(lambda card: with_strays(card, message.paths, at)):
            self.tell(words.STRAND_FOUND)
            self._changed()

    def on_judged_ready(self, message: JudgedReady) -> None:
        """Show what the strands said; offer to repeat the last one where it was spoilt."""
        self._judged = message.judged
        self._show()
        last = self.check.last
        line = next((line for line in self._judged.lines if line.pull == last), None) if self._judged else None
        if last is not None and line is not None and line.suggests:
            reason = words.ASIDE_REASONS[line.suggests]
            self.tell(words.STRAND_OFFER.format(number=last.strand, reason=reason), bad=True)

    def _show(self) -> None:
        check = self.check
        lines = self._judged.lines if self._judged is not None else ()
        self.query_one(StrandRows).show(rows_of(check, lines, self.bench_app.signs.arrow_right))
        self.ask(question_of(check))
        self.query_one("#how", Static).update(how_to(check))
        self.refresh_bindings()

    def _changed(self) -> None:
        self._show()
        self.judge()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what can be done now."""
        match action:
            case "repeat":
                return self.check.last is not None
            case "undo":
                return bool(self.check.steps)
            case "finish":
                return bool(self.check.counting) and self.check.next_strand is not None
        return True

    def action_go_on(self) -> None:
        """To the next pull, over the way back of the stage; after the last strand to the result."""
        app = self.bench_app
        if self.check.next_strand is None:
            self.action_finish()
        elif app.bench.stretcher is None or not app.bench.cautioned or app.bench.state().link_gone:
            app.aim = "check_strands"
            app.go("caution" if app.bench.stretcher is not None and not app.bench.state().link_gone else "connect")
        else:
            app.go("check_back" if app.bench.must_move_back else "check_pull")

    def action_repeat(self) -> None:
        """The last strand does not count: ask why."""
        last = self.check.last
        assert last is not None
        lines = self._judged.lines if self._judged is not None else ()
        suggested = next((line.suggests for line in lines if line.pull == last), "")
        self.bench_app.go("check_aside", suggested)

    def action_undo(self) -> None:
        """Take the last step back."""
        step = self.check.steps[-1]
        number = self.check.pulls[step.pull].strand
        if self.change(_on_check(undo)):
            said = words.STRAND_UNDONE if step.kind == "pulled" else words.STRAND_COUNTED
            self.tell(said.format(number=number))
            self._changed()

    def action_finish(self) -> None:
        """End the check with the strands there are."""
        at = self.desk.clock()
        if self.change(_on_check(lambda check: finish(check, at))):
            self.bench_app.go("check_result")


def _find_strays(card: Card, folder: Path) -> StraysFound | None:
    from tui.check.strays import strays

    found = strays(card, folder)
    return StraysFound(found) if found else None


def _on_check(how: Callable[[Check], Check]) -> Callable[[Card], Card]:
    """A change of the check as a change of its card."""

    def change(card: Card) -> Card:
        assert card.check is not None
        return replace(card, check=how(card.check))

    return change


def question_of(check: Check) -> str:
    """Which strand is next, and from where."""
    number = check.next_strand
    if number is None:
        return words.STRAND_DONE_QUESTION.format(planned=len(check.planned))
    zone = check.planned[number - 1]
    return words.STRAND_QUESTION.format(number=number, planned=len(check.planned), zone=zone)


def how_to(check: Check) -> str:
    """How the next strand is taken and mounted."""
    number = check.next_strand
    if number is None:
        return words.STRAND_ALL_DONE
    condition = words.STRAND_WET if check.condition == "wet" else words.STRAND_DRY
    zone = check.planned[number - 1]
    return words.STRAND_HOW.format(zone=zone, condition=condition, gauge=check.gauge_length_mm)
