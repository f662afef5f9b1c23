"""A line to type into, with its name before it and a sentence below it: what to type, or what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from tui import wording

#: Longest text taken in, however much is pasted [characters].
LONGEST_TEXT = 200

#: Gives the sentence that says what is wrong with a text, "" where nothing is.
Check = Callable[[str], str]


def nothing_wrong(_: str) -> str:
    """Any text will do."""
    return ""


class Line(Input):
    """A line of text; Enter is said in the key line, since it goes on from here."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "submit", wording.GO_ON)]


class Field(Vertical):
    """A labelled input that knows what is wrong with it."""

    DEFAULT_CSS = """
    Field { height: 2; width: 1fr; }
    Field Horizontal { height: 1; }
    Field Input { width: 1fr; max-width: 60; background: $raised; color: $ink; margin: 0 2 0 0; }
    Field Input:focus { background: $chosen; background-tint: $ink 0%; }
    .field-hint { height: 1; color: $quiet; margin: 0 0 0 20; }
    Field.-wrong .field-hint { color: $below; text-style: bold; height: auto; }
    Field.-wrong { height: auto; }
    """

    def __init__(self, name: str, label: str, hint: str, value: str = "", check: Check = nothing_wrong) -> None:
        super().__init__(id=name, classes="field")
        self._label, self._hint, self._first_value, self._check = label, hint, value, check

    def compose(self) -> ComposeResult:
        """Name, input, sentence."""
        with Horizontal():
            yield Static(self._label, classes="field-label", markup=False)
            yield Line(self._first_value, compact=True, max_length=LONGEST_TEXT)
        yield Static(self._hint, classes="field-hint", markup=False)

    @property
    def input(self) -> Input:
        """Where the person types."""
        return self.query_one(Input)

    @property
    def value(self) -> str:
        """What was typed, without spaces around it."""
        return self.input.value.strip()

    def judge(self) -> bool:
        """Say what is wrong, or the hint; whether all is well."""
        problem = self._check(self.value)
        self.set_class(bool(problem), "-wrong")
        self.query_one(".field-hint", Static).update(problem or self._hint)
        return not problem

    def on_input_changed(self, event: Input.Changed) -> None:
        """A complaint goes as soon as it is answered; a new one waits until the person has finished typing."""
        if self.has_class("-wrong"):
            self.judge()

    def on_input_blurred(self, event: Input.Blurred) -> None:
        """The person has finished typing here."""
        self.judge()
