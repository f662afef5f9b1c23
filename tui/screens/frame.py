"""What every screen has: trail, the rig's row, the question, a line for what must be said, keys and stop bar."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui.messages import WentWrong
from tui.widgets.key_line import KeyLine
from tui.widgets.link_status import LinkStatus, RigState
from tui.widgets.stop_bar import Motor, StopBar
from tui.widgets.trail import Trail

if TYPE_CHECKING:
    from tui.app import StrandbenchApp


class FrameScreen(Screen[None]):
    """A screen with one question to the person; `parts` are what it asks with."""

    #: The steps of the way that the screen is on, and which of them it is (-1: none).
    STEPS: ClassVar[tuple[str, ...]] = wording.STEPS
    STEP: ClassVar[int] = -1
    QUESTION: ClassVar[str] = ""
    #: Name of the paragraph in the help; "" for the help itself.
    ABOUT: ClassVar[str] = ""
    BINDINGS: ClassVar[list[BindingType]] = [Binding("question_mark", "app.explain", wording.HELP, show=False)]

    _status: LinkStatus | None = None
    _stop_bar: StopBar | None = None
    _asked = ""

    @property
    def bench_app(self) -> StrandbenchApp:
        """The app, as what it is."""
        return cast("StrandbenchApp", self.app)

    def compose(self) -> ComposeResult:
        """The frame with the screen's own parts in it."""
        with Vertical(id="frame"):
            yield Trail(self.STEP, self.bench_app.signs, self.STEPS)
            self._status = LinkStatus()
            yield self._status
            yield Static(self.QUESTION, id="question", markup=False)
            yield Static("", id="notice", markup=False)
            with Vertical(id="body"):
                yield from self.parts()
            yield KeyLine(blocks=self.bench_app.signs.blocks)
            self._stop_bar = StopBar()
            yield self._stop_bar
        yield Static(f"{wording.TOO_SMALL} {wording.TOO_SMALL_STOP}", id="too-small", markup=False)

    def parts(self) -> Iterable[Widget]:
        """The widgets that ask the question."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Show what the rig does at once."""
        self.bench_app.look()

    def show_rig(self, state: RigState, *, stopping: bool) -> None:
        """Show what the rig does."""
        if self._status is None or self._stop_bar is None:
            return
        self._status.show(state)
        motor = Motor.RUNS if state.moving else Motor.STILL
        self._stop_bar.show(Motor.STOPPING if stopping and state.moving else motor)

    def tell(self, sentence: str, *, bad: bool = False) -> None:
        """Say something under the question; "" takes it away."""
        notice = self.query_one("#notice", Static)
        notice.update(sentence)
        notice.set_class(bool(sentence), "-said")
        notice.set_class(bad, "-bad")

    def ask(self, question: str) -> None:
        """Ask something else, or say what is going on."""
        if question != self._asked:
            self._asked = question
            self.query_one("#question", Static).update(question)

    def background(self, work: Callable[[], Message | None]) -> None:
        """Do something that takes time beside the screen; the message it gives, or what went wrong, is posted.

        The thread is a daemon: nothing that waits for a rig may keep the program from ending.
        """

        def carry_out() -> None:
            try:
                message = work()
            except Exception as problem:
                message = went_wrong(problem)
            if message is not None:
                self.post_message(message)

        threading.Thread(target=carry_out, name="beside the screen", daemon=True).start()

    def on_went_wrong(self, message: WentWrong) -> None:
        """Something that was tried beside the screen did not work."""
        self.failed(message)

    def failed(self, message: WentWrong) -> None:
        """Say what went wrong."""
        self.tell(message.sentence, bad=True)

    def on_stop_bar_pressed(self) -> None:
        """The stop bar was clicked."""
        self.bench_app.action_stop_motor()


def went_wrong(problem: Exception) -> WentWrong:
    """A failure as a message with its sentence."""
    from tui.failure import sentence

    latched = getattr(problem, "latched", None)
    return WentWrong(sentence(problem), needs_clearing=latched is not None and latched.name != "NONE")
