"""The simulated rig: which invented strand it pulls, and how fast its time goes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui.screens.connecting import ConnectingScreen
from tui.widgets.choice import Choice
from tui.widgets.menu import Entry, Menu

#: Time scales behind the words of `wording.SIMULATE_PACES`.
TIME_SCALES = (1.0, 4.0, 20.0)


class SimulateScreen(ConnectingScreen):
    """Choose a strand."""

    QUESTION = wording.SIMULATE_QUESTION
    ABOUT = "simulate"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "pace(1)", wording.SIMULATE_PACE_KEY, key_display="← →"),
        Binding("left", "pace(-1)", wording.SIMULATE_PACE_KEY, show=False),
        Binding("f2", "app.go('connect')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """The pace, and the strands below it."""
        from rig.simulated.catalogue import KINDS

        yield Static(wording.SIMULATE_ABOUT, classes="remark", markup=False)
        signs = self.bench_app.signs
        yield Horizontal(
            Static(wording.SIMULATE_PACE, classes="field-label", markup=False),
            Choice(wording.SIMULATE_PACES, signs, here=1, id="pace"),
            classes="choice-line",
        )
        yield Menu(signs, [Entry(kind.name, kind.name, kind.doc) for kind in KINDS.values()])

    def on_mount(self) -> None:
        """Begin with the strands."""
        self.query_one(Menu).focus()

    def action_pace(self, step: int) -> None:
        """Another pace, wherever the keyboard is."""
        self.query_one(Choice).action_step(step)

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Start the simulated rig with this strand."""
        from rig.simulated.settings import SimulationSettings

        time_scale = TIME_SCALES[self.query_one(Choice).number]
        self.simulate(SimulationSettings(strand=message.key, time_scale=time_scale))
