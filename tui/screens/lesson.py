"""The lecturer's first question: what comes next in the lesson."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from tui import wording
from tui import wording_lesson as words
from tui.screens.frame import FrameScreen
from tui.widgets.menu import Entry, Menu

#: The key of the entry that pulls a strand; all others are names of screens.
PULL = "pull"


class LessonScreen(FrameScreen):
    """Choose what comes next."""

    QUESTION = words.LESSON_QUESTION
    ABOUT = "lesson"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "app.go('start')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The list."""
        yield Menu(self.bench_app.signs, [Entry(*entry) for entry in words.LESSON_ENTRIES], id="lesson")

    def on_mount(self) -> None:
        """Begin with the list."""
        self.query_one(Menu).focus()

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Go there; what is pulled in a lesson is pulled for the room."""
        if message.key == PULL:
            self.bench_app.go_with_rig("room_strand")
        else:
            self.bench_app.go(message.key)
