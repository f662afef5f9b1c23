"""A rig at an address that is typed: a device name, or a URL."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui.screens.connecting import ConnectingScreen
from tui.widgets.field import Field


class AddressScreen(ConnectingScreen):
    """Type an address."""

    QUESTION = wording.ADDRESS_QUESTION
    ABOUT = "address"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("f2", "app.go('connect')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """The line to type into."""
        yield Field("address", wording.ADDRESS_LABEL, wording.ADDRESS_HINT, check=problem)

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Connect."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Connect to what was typed."""
        field = self.query_one(Field)
        if field.judge():
            self.connect_to(field.value)


def problem(text: str) -> str:
    """What is wrong with an address."""
    return "" if text.strip() else wording.ADDRESS_EMPTY
