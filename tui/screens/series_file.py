"""A series set up from a small file."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_lab as words
from tui.check.times import now
from tui.lab.answers import BadSetUp, answers_in, plan_of
from tui.screens.frame import FrameScreen
from tui.widgets.field import Field


class SeriesFileScreen(FrameScreen):
    """Name the file."""

    STEPS = words.STEPS
    STEP = 1
    QUESTION = words.FILE_QUESTION
    ABOUT = "series_file"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("f2", "app.go('series_list')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """The line to type into."""
        yield Field("file", words.FILE_LABEL, words.FILE_HINT, check=problem)

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Read it."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Read the file; what is wrong in it is said, and nothing is kept."""
        from tui.failure import sentence

        field = self.query_one(Field)
        if not field.judge():
            return
        try:
            plan = plan_of(answers_in(Path(field.value).expanduser()), now())
        except (BadSetUp, OSError, ValueError) as trouble:
            self.tell(sentence(trouble), bad=True)
            return
        self.bench_app.go("series", self.bench_app.series.open(plan))


def problem(text: str) -> str:
    """What is wrong with the name of a file."""
    return "" if text.strip() else words.FILE_EMPTY
