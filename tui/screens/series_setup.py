"""Setting up a series: one question a screen, with what was answered so far carried along."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui import wording_lab as words
from tui.check.times import now
from tui.lab.answers import QUESTIONS, plan_of
from tui.screens.frame import FrameScreen
from tui.widgets.choice import Choice
from tui.widgets.field import Field


class SeriesSetupScreen(FrameScreen):
    """Ask one question."""

    STEPS = words.STEPS
    STEP = 1
    ABOUT = "series_setup"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("f2", "back", wording.BACK),
    ]

    def __init__(self, answers: Mapping[str, str] | None = None, number: int = 0) -> None:
        super().__init__()
        self._answers = dict(answers or {})
        self._number = number
        self._wanted = QUESTIONS[number]

    def parts(self) -> Iterable[Widget]:
        """A line to type into, or a choice."""
        asked = self._wanted
        answer = self._answers.get(asked.key, asked.first)
        yield Static(
            words.SETUP_STEP.format(number=self._number + 1, count=len(QUESTIONS)), classes="remark", markup=False
        )
        if asked.options:
            choice = Choice(asked.options, self.bench_app.signs, here=asked.options.index(answer), id="answer")
            yield Horizontal(
                Static(asked.label, classes="field-label", markup=False), choice, classes="choice-line"
            )
            yield Static(asked.hint, classes="remark", markup=False)
        else:
            yield Field("answer", asked.label, asked.hint, answer, asked.check)

    def on_mount(self) -> None:
        """Begin to answer."""
        self.ask(self._wanted.question)
        if self._wanted.options:
            self.query_one(Choice).focus()
        else:
            self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """On to the next question; after the last the series is kept."""
        if not self._wanted.options and not self.query_one(Field).judge():
            return
        answers = self._answers | {self._wanted.key: self._answer()}
        if self._number + 1 < len(QUESTIONS):
            self.bench_app.go("series_setup", answers, self._number + 1)
        else:
            self.bench_app.go("series", self.bench_app.series.open(plan_of(answers, now())))

    def _answer(self) -> str:
        return self.query_one(Choice).value if self._wanted.options else self.query_one(Field).value

    def action_back(self) -> None:
        """Back to the question before; what was answered stays."""
        if self._number:
            self.bench_app.go("series_setup", self._answers | {self._wanted.key: self._answer()}, self._number - 1)
        else:
            self.bench_app.go("series_list")
