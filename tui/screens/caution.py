"""The cautions: shown before the first motion of a session, and confirmed by the person."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui.cautions import CAUTIONS, CONFIRM, DEFERENCE
from tui.screens.frame import FrameScreen


class CautionScreen(FrameScreen):
    """Read and confirm."""

    STEP = 1
    QUESTION = CONFIRM
    CSS_PATH = "caution.tcss"
    ABOUT = "caution"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "confirm", wording.CAUTION_CONFIRM),
        Binding("f2", "app.go('connect')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The cautions, one paragraph each, and what comes before them."""
        with VerticalScroll(id="cautions", classes="scrolled"):
            if self.bench_app.bench.is_simulated:
                yield Static(wording.CAUTION_SIMULATED, classes="remark", markup=False)
            for caution in CAUTIONS:
                yield Static(f"! {caution}", classes="caution", markup=False)
            yield Static(DEFERENCE, classes="remark", markup=False)

    def on_mount(self) -> None:
        """Let the arrow keys scroll, where the window is low."""
        self.query_one("#cautions").focus()

    def action_confirm(self) -> None:
        """All is clear: go on to what the person wanted."""
        self.bench_app.bench.cautioned = True
        self.bench_app.go(self.bench_app.aim)
