"""Before the next strand: the stage goes back to where the pull began, when the person says so."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui.messages import MovedBack, WentWrong
from tui.screens.frame import FrameScreen


class MoveBackScreen(FrameScreen):
    """Move the stage back."""

    STEP = 3
    #: The screen that comes after it.
    NEXT: ClassVar[str] = "strand"
    QUESTION = wording.BACK_QUESTION
    ABOUT = "move_back"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "move_back", wording.BACK_GO),
        Binding("s", "skip", wording.BACK_SKIP),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._moving = False

    def parts(self) -> Iterable[Widget]:
        """What is about to happen."""
        yield Static(wording.BACK_ABOUT, classes="remark", markup=False)

    def action_move_back(self) -> None:
        """Move the stage back."""
        if self._moving:
            return
        self._moving = True
        self.tell("")
        bench = self.bench_app.bench

        def work() -> MovedBack:
            bench.move_back()
            return MovedBack()

        self.background(work)

    def action_skip(self) -> None:
        """Go on with the stage where it is."""
        self.bench_app.go(self.NEXT)

    def on_moved_back(self) -> None:
        """Go on to the next strand; where the motion was stopped, ask again."""
        self._moving = False
        if self.bench_app.bench.must_move_back:
            self.tell(wording.BACK_STOPPED, bad=True)
        else:
            self.bench_app.go(self.NEXT)

    def failed(self, message: WentWrong) -> None:
        """It did not move back, and why."""
        self._moving = False
        super().failed(message)
