"""Which strand is in the clamps: its reference code, where it grew, what it went through, and its measures."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui.screens.frame import FrameScreen
from tui.strand_form import StrandForm, diameter_problem, gauge_length_problem, text_problem
from tui.widgets.choice import Choice
from tui.widgets.field import Field

#: Label and hint of the lines to type into.
REFERENCE = (wording.STRAND_REFERENCE, wording.STRAND_REFERENCE_HINT)
HISTORY = (wording.STRAND_HISTORY, wording.STRAND_HISTORY_HINT)
GAUGE = (wording.STRAND_GAUGE, wording.STRAND_GAUGE_HINT)
DIAMETER = (wording.STRAND_DIAMETER, wording.STRAND_DIAMETER_HINT)


class StrandScreen(FrameScreen):
    """Describe the strand."""

    STEP = 2
    #: The screen that comes after it.
    NEXT: ClassVar[str] = "pull"
    #: Whether the strand may be pulled otherwise than to the break.
    CHOOSES_KIND: ClassVar[bool] = True
    QUESTION = wording.STRAND_QUESTION
    ABOUT = "strand"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("down", "app.focus_next", wording.STRAND_MOVE, key_display="↑ ↓"),
        Binding("up", "app.focus_previous", wording.STRAND_MOVE, show=False),
        Binding("f2", "app.go('connect')", wording.BACK),
    ]

    def __init__(self, form: StrandForm | None = None) -> None:
        super().__init__()
        self._form = form

    def parts(self) -> Iterable[Widget]:
        """The form, filled in with what was said last."""
        form = self._form if self._form is not None else self.bench_app.next_form()
        with VerticalScroll(classes="scrolled", can_focus=False):
            yield Field("reference", *REFERENCE, form.reference, text_problem)
            yield self._choice("zone", wording.STRAND_ZONE, wording.STRAND_ZONES, form.zone)
            yield Field("history", *HISTORY, form.history, text_problem)
            yield self._choice("condition", wording.STRAND_CONDITION, wording.STRAND_CONDITIONS, form.condition)
            yield Field("gauge", *GAUGE, form.gauge_length, gauge_length_problem)
            yield Field("diameter", *DIAMETER, form.diameter, diameter_problem)
            if self.CHOOSES_KIND:
                yield self._choice("kind", wording.STRAND_KIND, wording.STRAND_KINDS, form.kind)

    def _choice(self, name: str, label: str, options: tuple[str, ...], chosen: str) -> Widget:
        return Horizontal(
            Static(label, classes="field-label", markup=False),
            Choice(options, self.bench_app.signs, here=options.index(chosen), id=name),
            classes="choice-line",
        )

    def on_mount(self) -> None:
        """Begin at the top."""
        self.query_one("#reference", Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on from every line."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Go on to the pull where nothing is wrong; else to the first line that is."""
        wrong = [field for field in self.query(Field) if not field.judge()]
        if wrong:
            wrong[0].input.focus()
            self.tell(wording.STRAND_FIX, bad=True)
            return
        self.bench_app.strand = self._answers()
        self.bench_app.go(self.NEXT)

    def _answers(self) -> StrandForm:
        return StrandForm(
            reference=self.query_one("#reference", Field).value,
            zone=self.query_one("#zone", Choice).value,
            history=self.query_one("#history", Field).value,
            condition=self.query_one("#condition", Choice).value,
            gauge_length=self.query_one("#gauge", Field).value,
            diameter=self.query_one("#diameter", Field).value,
            kind=self.query_one("#kind", Choice).value if self.CHOOSES_KIND else wording.STRAND_KINDS[0],
        )
