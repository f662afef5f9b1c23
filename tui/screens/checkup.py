"""The health check of the connected rig: at rest, then there and back, and every figure with what it means."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui import wording_checkup as words
from tui.messages import WentWrong
from tui.screens.frame import FrameScreen

if TYPE_CHECKING:
    from rig.findings import Finding


class Progressed(Message, bubble=False):
    """The check has come to its next part."""

    def __init__(self, sentence: str) -> None:
        super().__init__()
        self.sentence = sentence


class Checked(Message, bubble=False):
    """The check is done."""

    def __init__(self, found: tuple[Finding, ...]) -> None:
        super().__init__()
        self.found = found


class CheckupScreen(FrameScreen):
    """Check the rig, one check at a time."""

    QUESTION = words.QUESTION
    ABOUT = "checkup"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "check(True)", words.GO),
        Binding("s", "check(False)", words.STILL),
        Binding("f2", "app.go('start')", wording.BACK),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._checking = False

    def parts(self) -> Iterable[Widget]:
        """The findings, once there are any."""
        with VerticalScroll(id="checkup-told"):
            yield Static("", id="checkup-found", markup=False)

    def action_check(self, move: bool) -> None:
        """Check the rig beside the screen."""
        stretcher = self.bench_app.bench.stretcher
        if self._checking:
            return
        if stretcher is None:
            self.tell(words.NO_RIG, bad=True)
            return
        self._checking = True
        self.tell(words.RUNNING)

        def work() -> Checked:
            from rig.checkup import run_checkup

            return Checked(run_checkup(stretcher, move=move, progress=self._progressed))

        self.background(work)

    def _progressed(self, sentence: str) -> None:
        """Called in the thread that checks."""
        self.post_message(Progressed(sentence))

    def on_progressed(self, message: Progressed) -> None:
        """Say what is going on."""
        self.tell(message.sentence)

    def on_checked(self, message: Checked) -> None:
        """Show what was found."""
        from tui.checkup_text import headline, what_to_do, widest

        self._checking = False
        bad = any(finding.grade.value == "bad" for finding in message.found)
        self.tell(words.DONE_BAD if bad else words.DONE_GOOD, bad=bad)
        wide = widest(message.found)
        lines = []
        for finding in message.found:
            lines.append(headline(finding, wide))
            if advice := what_to_do(finding):
                lines.append(f"    {advice}")
        self.query_one("#checkup-found", Static).update("\n".join(lines))
        self.query_one("#checkup-told").focus()

    def failed(self, message: WentWrong) -> None:
        """It did not come to an end, and why."""
        self._checking = False
        super().failed(message)
