"""A note about a pull, kept in a file beside the recording: what is recorded is never changed."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui.screens.frame import FrameScreen
from tui.widgets.field import Field


class NoteScreen(FrameScreen):
    """Type a note."""

    STEP = 4
    QUESTION = wording.NOTE_QUESTION
    ABOUT = "note"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.NOTE_KEEP),
        Binding("f2", "back", wording.BACK),
    ]

    def __init__(self, path: Path) -> None:
        super().__init__()
        self._path = path

    def parts(self) -> Iterable[Widget]:
        """The line to type into."""
        yield Field("note", wording.NOTE_LABEL, wording.NOTE_HINT, check=problem)

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the note."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Keep the note and go back to the result."""
        from tui.notes import keep_note

        field = self.query_one(Field)
        if not field.judge():
            return
        try:
            kept = keep_note(self._path, field.value)
        except OSError as trouble:
            self.tell(wording.NOTE_NOT_KEPT.format(problem=trouble.strerror or trouble), bad=True)
            return
        self.bench_app.go("result", self._path, wording.NOTE_SAVED.format(name=kept.name))

    def action_back(self) -> None:
        """Back to the result without a note."""
        self.bench_app.go("result", self._path)


def problem(text: str) -> str:
    """What is wrong with a note."""
    return "" if text.strip() else wording.NOTE_EMPTY
