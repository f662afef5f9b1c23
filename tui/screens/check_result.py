"""The result of the set in plain words: what was measured, how sure, what it does not tell; the card beside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from tui import wording, wording_card
from tui import wording_check as words
from tui.check.card import Card, record
from tui.check.course import one_more
from tui.check.judged import Judged
from tui.check.rules import Kind
from tui.check.standing import standing
from tui.screens.check_frame import CheckScreen, JudgedReady
from tui.widgets.strand_rows import StrandRows, rows_of
from tui.widgets.verdict_card import Card as Verdict
from tui.widgets.verdict_card import VerdictCard


class CheckResultScreen(CheckScreen):
    """Show the result of the set, and record it on the card."""

    STEP = 4
    ABOUT = "check_result"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,c", "app.go('card')", words.RESULT_CARD, key_display="Enter"),
        Binding("f6", "save_page", words.RESULT_PAGE),
        Binding("m", "more", words.RESULT_MORE),
        Binding("s", "app.go('check_strands')", words.RESULT_STRANDS),
        Binding("f2", "app.go('check')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """Everything in words, and the card beside it where there is room."""
        with VerticalScroll(id="check-told"):
            yield VerdictCard(bar=self.bench_app.signs.bar, id="verdict")
            yield StrandRows(id="check-set")
            yield Static("", classes="told-words", id="check-measured", markup=False)
        with VerticalScroll(id="check-beside", can_focus=False):
            yield Static(wording_card.HEAD_TESTS, classes="told-heading", markup=False)
            yield Static("", classes="told-words", id="check-tests", markup=False)

    def on_mount(self) -> None:
        """Begin to work it out."""
        self.ask(words.RESULT_QUESTION.format(reference=self.card.reference))
        self.query_one("#check-told").focus()
        self.tell(words.STRAND_WORKING)
        self._show_tests()
        self.judge()

    def on_judged_ready(self, message: JudgedReady) -> None:
        """Show it, and put it on the card."""
        self.tell("")
        if message.judged is not None:
            self._record(message.judged)
            self._show(message.judged)
        self._show_tests()

    def _record(self, judged: Judged) -> None:
        """The card says what the rig found, once for each outcome of this check."""
        check, at = self.check, self.desk.clock()
        before = self.card.round_of(Kind.ELASTICITY)
        same = before is not None and before.finding is not None and before.finding.outcome == judged.outcome
        if same and before is not None and before.finding is not None and before.finding.at >= check.begun:
            return
        self.change(lambda card: record(card, Kind.ELASTICITY, judged.outcome, at, check.by))

    def _show(self, judged: Judged) -> None:
        sign, role = words.RESULT_SIGNS[judged.outcome], words.RESULT_ROLES[judged.outcome]
        self.query_one(VerdictCard).show(Verdict(sign, judged.words, role, judged.statement))
        self.query_one(StrandRows).show(rows_of(self.check, judged.lines))
        sections = (
            (words.HEAD_MEASURED, judged.measured),
            (words.HEAD_SURE, judged.sure),
            (words.HEAD_NOT_TOLD, judged.not_told),
        )
        self.query_one("#check-measured", Static).update("\n".join(map(_section, sections)))

    def _show_tests(self) -> None:
        """The card's tests, a line each, and what is open."""
        stands = standing(self.card, self.desk.clock())
        lines = [f"{wording_card.STATE_SIGNS[test.stage.value]} {test.name}: {test.state}" for test in stands.tests]
        points = _section((f"\n{stands.headline}", stands.points))
        self.query_one("#check-tests", Static).update("\n".join((*lines, points, wording_card.CARD_DEFERENCE)))

    def action_more(self) -> None:
        """One strand more, and on with the pulls."""

        def more(card: Card) -> Card:
            assert card.check is not None
            return replace(card, check=one_more(card.check))

        if self.change(more):
            self.bench_app.go("check_strands")


def _section(section: tuple[str, tuple[str, ...]]) -> str:
    """A heading with its sentences."""
    head, sentences = section
    return "\n".join((head, *(f"• {sentence}" for sentence in sentences), "")) if sentences else head
