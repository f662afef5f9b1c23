"""What the air at the bench reads: it stands in the header of every recording from now on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_lab as words
from tui.lab.air import air_text
from tui.lab.answers import HUMIDITY, TEMPERATURE, air_of
from tui.screens.series_frame import SeriesFrame
from tui.widgets.field import Field


class SeriesAirScreen(SeriesFrame):
    """Type two readings."""

    STEP = 2
    QUESTION = words.AIR_QUESTION
    ABOUT = "series_air"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("down", "app.focus_next", wording.STRAND_MOVE, key_display="↑ ↓"),
        Binding("up", "app.focus_previous", wording.STRAND_MOVE, show=False),
        Binding("f2", "app.go('series')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """The lines to type into, filled in with what was read last."""
        for asked in (TEMPERATURE, HUMIDITY):
            value = getattr(self.plan.air, asked.key)
            text = "" if value is None else f"{value:g}"
            yield Field(asked.key, asked.label, asked.hint, text, asked.check)

    def on_mount(self) -> None:
        """Begin at the top."""
        self.query(Field).first().input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on from both lines."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Keep the readings and go back to the series."""
        wrong = [field for field in self.query(Field) if not field.judge()]
        if wrong:
            wrong[0].input.focus()
            return
        air = air_of({str(field.id): field.value for field in self.query(Field)})
        problem = self.change(lambda plan: replace(plan, air=air))
        text = air_text(air)
        self.bench_app.go("series", problem or "", words.AIR_SET.format(air=text) if text else "")
