"""Which series: those that were begun, or a new one, from questions or from a file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widget import Widget

from tui import wording
from tui import wording_lab as words
from tui.screens.frame import FrameScreen
from tui.widgets.menu import Entry, Menu

if TYPE_CHECKING:
    from tui.lab.shelf import Shelf


class ShelfRead(Message, bubble=False):
    """The series that were begun are known."""

    def __init__(self, shelf: Shelf) -> None:
        super().__init__()
        self.shelf = shelf


class SeriesListScreen(FrameScreen):
    """Choose a series."""

    STEPS = words.STEPS
    STEP = 0
    QUESTION = words.LIST_QUESTION
    ABOUT = "series_list"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "app.go('start')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._shelf: Shelf | None = None

    def parts(self) -> Iterable[Widget]:
        """The list."""
        yield Menu(self.bench_app.signs, NEW, id="series")

    def on_mount(self) -> None:
        """Look for series."""
        self.query_one(Menu).focus()

        def work() -> ShelfRead:
            from tui.lab.shelf import all_plans

            return ShelfRead(all_plans())

        self.background(work)

    def on_shelf_read(self, message: ShelfRead) -> None:
        """Show them, the newest first."""
        self._shelf = message.shelf
        kept = [
            Entry(str(number), plan.name, words.LIST_ENTRY.format(
                done=sum(not pull.aside for pull in plan.pulls),
                planned=plan.strands * len(plan.groups),
                day=f"{plan.begun.astimezone():%Y-%m-%d}",
            ))
            for number, plan in enumerate(message.shelf.plans)
        ]  # fmt: skip
        heading = [Entry("", words.LIST_KEPT, heading=True)] if kept else []
        self.query_one(Menu).fill([*heading, *kept, *NEW])
        if kept:
            self.query_one(Menu).action_move(-len(kept) - len(NEW))
        self.tell(" ".join(message.shelf.problems), bad=True)

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Go on with it, or set up a new one."""
        if message.key.isdecimal() and self._shelf is not None:
            self.bench_app.series.take(self._shelf.plans[int(message.key)])
            self.bench_app.go("series")
        else:
            self.bench_app.go(message.key)


NEW = (
    Entry("series_setup", words.LIST_NEW, words.LIST_NEW_ABOUT),
    Entry("series_file", words.LIST_FILE, words.LIST_FILE_ABOUT),
)
