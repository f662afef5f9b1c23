"""How the check goes: wet or dry, which zones, how many strands, and the gauge length."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import ClassVar, Literal

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui import wording_check as words
from tui.check.card import Card
from tui.check.course import FEWEST, MOST, USUAL, Check, spread
from tui.screens.check_frame import CheckScreen
from tui.strand_form import USUAL_GAUGE_LENGTH, gauge_length_problem, number
from tui.widgets.choice import Choice
from tui.widgets.field import Field
from tui.widgets.several import Several


class CheckPlanScreen(CheckScreen):
    """Plan the strands."""

    STEP = 1
    QUESTION = words.PLAN_QUESTION
    ABOUT = "check_plan"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("down", "app.focus_next", wording.STRAND_MOVE, key_display="↑ ↓"),
        Binding("up", "app.focus_previous", wording.STRAND_MOVE, show=False),
        Binding("c", "app.go('card')", words.STRAND_CARD),
        Binding("f2", "app.go('check')", wording.BACK),
    ]

    def __init__(self, problem: str = "") -> None:
        super().__init__()
        self._problem = problem

    def parts(self) -> Iterable[Widget]:
        """The form."""
        signs = self.bench_app.signs
        with VerticalScroll(id="form", can_focus=False):
            yield Horizontal(
                Static(words.PLAN_CONDITION, classes="field-label", markup=False),
                Choice(words.CONDITIONS, signs, id="condition"),
                classes="choice-line",
            )
            yield Horizontal(
                Static(words.PLAN_ZONES, classes="field-label", markup=False),
                Several(words.ZONES, words.ZONES, signs, id="zones"),
                classes="several-line",
            )
            yield Static(words.PLAN_ZONES_HINT, classes="field-hint", markup=False)
            yield Field("strands", words.PLAN_STRANDS, words.PLAN_STRANDS_HINT, str(USUAL), strands_problem)
            gauge = self._gauge_length()
            yield Field("gauge", words.PLAN_GAUGE, words.PLAN_GAUGE_HINT, gauge, gauge_length_problem)

    def _gauge_length(self) -> str:
        """What the strands of an invented head have, else what is usual."""
        own_rig = self.bench_app.bench.own_rig
        return own_rig.next_form().gauge_length if own_rig is not None else USUAL_GAUGE_LENGTH

    def on_mount(self) -> None:
        """Begin at the top."""
        self.query_one("#condition", Choice).focus()
        self.tell(self._problem, bad=True)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on from every line."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Begin the check where nothing is wrong."""
        zones = self.query_one("#zones", Several).taken
        wrong = [field for field in self.query(Field) if not field.judge()]
        if wrong:
            wrong[0].input.focus()
            self.tell(wording.STRAND_FIX, bad=True)
        elif not zones:
            self.query_one("#zones", Several).focus()
            self.tell(words.PLAN_NO_ZONE, bad=True)
        elif self.change(lambda card: self._begun(card, zones)):
            self.bench_app.go_with_rig("check_strands")

    def _begun(self, card: Card, zones: tuple[str, ...]) -> Card:
        """The card with the check on it."""
        condition: Literal["dry", "wet"] = "wet" if self.query_one("#condition", Choice).value == "wet" else "dry"
        gauge_length_mm = number(self.query_one("#gauge", Field).value)
        strands = strand_count(self.query_one("#strands", Field).value)
        assert gauge_length_mm is not None
        assert strands is not None
        by = self.desk.by or card.by
        check = Check(self.desk.clock(), by, condition, gauge_length_mm, spread(zones, strands))
        return replace(card, check=check)


def strand_count(text: str) -> int | None:
    """A whole number of strands that a check can have; None for anything else."""
    value = number(text) if len(text) < 20 else None
    return int(value) if value is not None and value == int(value) and FEWEST <= value <= MOST else None


def strands_problem(text: str) -> str:
    """What is wrong with a number of strands."""
    return words.PLAN_COUNT_WANTED.format(fewest=FEWEST, most=MOST) if strand_count(text) is None else ""
