"""The app: the rig on the bench, the stop key, leaving, looks, and going from screen to screen.

Screens ask their question and call these methods; they know each other only by name.
"""

from __future__ import annotations

import asyncio
import contextlib
import importlib
import os
import signal
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.app import App
from textual.binding import Binding, BindingType

from tui import wording
from tui.bench import Bench
from tui.palettes import PALETTES, first_palette, theme_of
from tui.screens.frame import FrameScreen
from tui.screens.register import SCREENS
from tui.signals import ASKS_TO_END
from tui.strand_form import StrandForm
from tui.widgets.signs import Signs, terminal_signs

if TYPE_CHECKING:
    from textual.screen import Screen

    from rig.simulated.settings import SimulationSettings
    from tui.check.desk import Desk
    from tui.classroom.server import ClassPage
    from tui.lab.desk import Desk as SeriesDesk
    from tui.library.view import View

#: How often the rig's state is looked at [s]; while a strand is pulled its screen looks more often.
LOOK_S = 0.25


@dataclass(frozen=True, slots=True)
class Start:
    """What was asked for when the app was started: a port to connect to, a simulated rig, or recordings to play."""

    port: str | None = None
    demo: SimulationSettings | None = None
    show: tuple[Path, ...] = ()


class StrandbenchApp(App[None]):
    """The program on the screen."""

    CSS_PATH = "style.tcss"
    TITLE = wording.PROGRAM
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "stop_motor", "Stop the motor", priority=True, show=False),
        Binding("f1", "explain", wording.HELP, priority=True),
        Binding("f3", "next_palette", wording.LOOKS, priority=True),
        Binding("ctrl+q", "leave", wording.LEAVE, priority=True),
    ]

    HORIZONTAL_BREAKPOINTS = [(0, "-tiny-across"), (60, "-narrow"), (110, "-wide"), (170, "-broad")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-tiny-down"), (16, "-low"), (34, "-high")]  # noqa: RUF012

    def __init__(self, bench: Bench, start: Start | None = None, signs: Signs | None = None) -> None:
        palette = first_palette(dict(os.environ))
        super().__init__(ansi_color=True if palette.is_bare else None)
        self.bench = bench
        self.start = start or Start()
        self.signs = signs or terminal_signs()
        #: What was said of the last strand, offered again for the next one.
        self.strand: StrandForm | None = None
        #: The screen that is wanted as soon as there is a rig and the cautions are confirmed.
        self.aim = "strand"
        #: The page for a class's browsers, while it is open.
        self.class_page: ClassPage | None = None
        self.leaving = False
        for known in PALETTES.values():
            self.register_theme(theme_of(known))
        self.theme = palette.name

    def on_mount(self) -> None:
        """Ask the first question, and keep an eye on the rig from now on."""
        self._heed_signals()
        if self.start.show:
            self.go("show", self.take_start().show)
        else:
            self.go("start" if self.start == Start() else "connect")
        self.set_interval(LOOK_S, self.look)

    @cached_property
    def desk(self) -> Desk:
        """The client's card that is worked on."""
        from tui.check.desk import Desk

        return Desk()

    @cached_property
    def series(self) -> SeriesDesk:
        """The series that is worked on."""
        from tui.lab.desk import Desk

        return Desk()

    @cached_property
    def library(self) -> View:
        """The recordings as the person left them: what was searched for and marked."""
        from tui.library.view import View

        return View()

    def next_form(self) -> StrandForm:
        """What is known of the next strand: all of an invented one, else the last answers but the diameter."""
        if self.bench.own_rig is not None:
            return self.bench.own_rig.next_form()
        return replace(self.strand, diameter="") if self.strand is not None else StrandForm()

    def take_start(self) -> Start:
        """What the app was started with, once."""
        start, self.start = self.start, Start()
        return start

    # -- from screen to screen ----------------------------------------------------------------------------

    def make(self, name: str, *given: object) -> Screen[Any]:
        """A new screen by its name."""
        module, cls = SCREENS[name]
        screen: Screen[Any] = getattr(importlib.import_module(module), cls)(*given)
        return screen

    def go(self, name: str, *given: object) -> None:
        """Go on to another screen, instead of the one that is shown."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        screen = self.make(name, *given)
        if len(self.screen_stack) == 1:
            self.push_screen(screen)
        else:
            self.switch_screen(screen)

    def go_with_rig(self, name: str) -> None:
        """Go to a screen that needs a rig; over the choice of one and the cautions where they are still to come."""
        self.aim = name
        if self.bench.stretcher is None:
            self.go("connect")
        else:
            self.go(name if self.bench.cautioned else "caution")

    def action_go(self, name: str) -> None:
        """Go on to another screen, by a key."""
        self.go(name)

    def action_visit(self, name: str) -> None:
        """Show a screen over the one that is shown, to come back to it."""
        self.push_screen(self.make(name))

    def action_explain(self) -> None:
        """Explain the screen that is shown; again to come back to it."""
        screen = self.screen
        if isinstance(screen, FrameScreen) and screen.ABOUT:
            self.push_screen(self.make("help", screen))
        else:
            self.pop_screen()

    def action_next_palette(self) -> None:
        """Look different: dark, light, high contrast, no colour."""
        names = list(PALETTES)
        self.theme = names[(names.index(self.theme) + 1) % len(names)]

    # -- the motor ----------------------------------------------------------------------------------------

    def action_stop_motor(self) -> None:
        """Stop whatever moves, now."""
        self.bench.stop()
        self.look()

    async def on_event(self, event: events.Event) -> None:
        """Take Esc pressed together with another key for Esc: whoever hits the keyboard in a hurry means it."""
        if isinstance(event, events.Key) and event.key.startswith("alt+") and self.bench.busy:
            self.action_stop_motor()
        await super().on_event(event)

    def _heed_signals(self) -> None:
        """Leave in good order when another program or a closing terminal asks this one to end."""
        with contextlib.suppress(NotImplementedError, RuntimeError):  # Windows; not in the main thread
            for name in ASKS_TO_END:
                if hasattr(signal, name):
                    asyncio.get_running_loop().add_signal_handler(getattr(signal, name), self.action_leave)

    def look(self) -> None:
        """Show what the rig does now; leave once it stands where the person wants to leave."""
        if self.leaving and not self.bench.busy:
            self.exit()
            return
        screen, state = self.screen, self.bench.state()
        if self.class_page is not None:
            self.class_page.show_rig(state)
        if isinstance(screen, FrameScreen):
            screen.show_rig(state, stopping=self.bench.stopping)

    def close_class_page(self) -> None:
        """Close the page for the class's browsers, where it is open."""
        page, self.class_page = self.class_page, None
        if page is not None:
            page.close()

    def action_leave(self) -> None:
        """Leave the program; a pull is stopped and its recording ended first."""
        self.leaving = True
        self.bench.stop()
        if self.bench.busy and isinstance(self.screen, FrameScreen):
            self.screen.tell(wording.LEAVING)
        self.look()


def run_app(
    port: str | None = None,
    directory: Path | None = None,
    demo: SimulationSettings | None = None,
    show: tuple[Path, ...] = (),
) -> int:
    """Open the app; the exit status. With `port` it connects to a rig, with `demo` to a simulated one.

    With `show` it plays recordings.
    """
    bench = Bench(directory if directory is not None else own_folder())
    app = StrandbenchApp(bench, Start(port, demo, show))
    try:
        app.run()
    finally:
        try:
            bench.close()
        finally:
            app.close_class_page()
    return app.return_code or 0


def own_folder() -> Path:
    """Where recordings go unless told otherwise: a folder of the program's own among the person's documents."""
    from platformdirs import user_documents_path

    return user_documents_path() / wording.PROGRAM
