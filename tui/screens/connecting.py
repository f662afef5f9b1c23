"""What the screens that connect to a rig have in common: say so, do it beside the screen, go on when it answers."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from tui import wording
from tui.messages import Connected, WentWrong
from tui.safe_text import clean
from tui.screens.frame import FrameScreen

if TYPE_CHECKING:
    from rig.simulated.settings import SimulationSettings


class ConnectingScreen(FrameScreen):
    """A screen that may connect to a rig; one attempt at a time."""

    STEP = 0

    def __init__(self) -> None:
        super().__init__()
        self.connecting = False

    def connect_to(self, address: str) -> None:
        """Connect to a rig at an address."""
        sentence = wording.CONNECT_BUSY.format(address=clean(address))
        self._begin(lambda: self.bench_app.bench.connect(address), sentence)

    def simulate(self, settings: SimulationSettings) -> None:
        """Start a simulated rig and connect to it."""
        self._begin(lambda: self.bench_app.bench.simulate(settings), wording.SIMULATE_STARTING)

    def _begin(self, connect: Callable[[], None], sentence: str) -> None:
        if self.connecting:
            return
        self.connecting = True
        self.tell(sentence)

        def work() -> Connected:
            connect()
            return Connected()

        self.background(work)

    def on_connected(self) -> None:
        """The rig answers: the cautions come next, once a session."""
        self.bench_app.go_with_rig(self.bench_app.aim)

    def failed(self, message: WentWrong) -> None:
        """Say why there is no connection."""
        self.connecting = False
        super().failed(message)
