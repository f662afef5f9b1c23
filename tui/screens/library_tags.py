"""Tags of a recording: words of the person's own, kept beside the program's other things."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_library as words
from tui.library.tags import MOST_TAGS, all_tags, keep_tags, tags_in
from tui.screens.frame import FrameScreen
from tui.store.place import StoreProblem
from tui.widgets.field import Field


class LibraryTagsScreen(FrameScreen):
    """Type tags."""

    QUESTION = words.TAGS_QUESTION
    ABOUT = "library_tags"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", words.KEEP),
        Binding("f2", "app.go('library')", wording.BACK),
    ]

    def __init__(self, path: Path) -> None:
        super().__init__()
        self._path = path

    def parts(self) -> Iterable[Widget]:
        """The line to type into."""
        yield Field("tags", words.TAGS_LABEL, words.TAGS_HINT, self._now(), problem)

    def _now(self) -> str:
        try:
            return ", ".join(all_tags().get(self._path.name, ()))
        except StoreProblem:
            return ""

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the tags."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Keep the tags and go back to the library."""
        field = self.query_one(Field)
        if not field.judge():
            return
        try:
            keep_tags(self._path, tags_in(field.value))
        except StoreProblem as trouble:
            self.tell(f"{trouble}.", bad=True)
            return
        self.bench_app.go("library")


def problem(text: str) -> str:
    """What is wrong with a list of tags."""
    return words.TAGS_TOO_MANY.format(most=MOST_TAGS) if len(tags_in(text)) > MOST_TAGS else ""
