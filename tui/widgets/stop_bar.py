"""The stop key, said on every screen at the same place: quiet while the motor stands, loud while it runs."""

from __future__ import annotations

import enum
from collections.abc import Sequence

from textual import events
from textual.message import Message

from tui import wording
from tui.widgets.cells import Span
from tui.widgets.painted import Painted


class Motor(enum.Enum):
    """What the bar has to say."""

    STILL = "still"
    RUNS = "runs"
    STOPPING = "stopping"


def bar_rows(motor: Motor, width: int, height: int) -> list[list[Span]]:
    """The rows of the bar."""
    if motor is Motor.STILL:
        text = f" {wording.STOP_STILL}"
        key = f" {wording.KEY_STOP} "
        return [[Span(key, "still_key"), Span(text.ljust(max(width - len(key), 0)), "still")]] * height
    words = wording.STOP_MOVING if motor is Motor.RUNS else wording.STOP_ASKED
    text = f"{wording.KEY_STOP}  {words}" if motor is Motor.RUNS else words
    blank = [Span(" " * width, "alarm")]
    rows = [blank] * height
    rows[height // 2] = [Span(text.center(width), "alarm")]
    return rows


class StopBar(Painted):
    """The bar on the screen; a click on it stops as well."""

    class Pressed(Message):
        """The bar was clicked."""

    def __init__(self) -> None:
        super().__init__(id="stop-bar")
        self._motor = Motor.STILL

    def show(self, motor: Motor) -> None:
        """Say another thing."""
        if motor is not self._motor:
            self._motor = motor
            self.set_class(motor is not Motor.STILL, "-loud")
            self.refresh()

    def row(self, y: int) -> Sequence[Span]:
        """One row of the bar."""
        width, height = self.size
        return bar_rows(self._motor, width, height)[y]

    def on_click(self, event: events.Click) -> None:
        """Stop, as the key does."""
        event.stop()
        self.post_message(self.Pressed())
