"""Drives the app in tests as a person does: by keys, waiting for what is to be seen, never for a fixed time."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from unittest.mock import patch

from textual.pilot import Pilot
from textual.widgets import Input, Static

from rig.simulated.faults import parse_fault
from rig.simulated.settings import SimulationSettings
from tui.app import Start, StrandbenchApp
from tui.bench import Bench
from tui.widgets.link_status import LinkStatus
from tui.widgets.menu import Menu

#: How long a person would wait before something counts as not coming [s].
PATIENCE_S = 30.0


def settings(strand: str = "virgin", *faults: str, time_scale: float = 25.0) -> SimulationSettings:
    """A simulated rig for a test."""
    return SimulationSettings(
        strand=strand, faults=tuple(parse_fault(fault) for fault in faults), time_scale=time_scale
    )


class Driver:
    """A running app with somebody at the keyboard."""

    def __init__(self, app: StrandbenchApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot = app, pilot

    @property
    def screen(self) -> str:
        """Which screen is shown."""
        return type(self.app.screen).__name__

    @property
    def notice(self) -> str:
        """What is said under the question."""
        return "".join(str(found.render()) for found in self.app.screen.query("#notice").results(Static))

    @property
    def complained(self) -> bool:
        """Whether what is said is about something that went wrong."""
        return any(found.has_class("-bad") for found in self.app.screen.query("#notice"))

    @property
    def moving(self) -> bool:
        """Whether the rig's row says that the motor runs."""
        return any(row.state.moving for row in self.app.screen.query(LinkStatus))

    async def press(self, *keys: str) -> None:
        """Press keys."""
        await self.pilot.press(*keys)

    async def until(self, what: Callable[[], bool]) -> None:
        """Wait until something is so."""
        deadline = time.monotonic() + PATIENCE_S
        while not what():
            assert time.monotonic() < deadline, f"it did not come: {self.screen}, {self.notice!r}"
            await self.pilot.pause(0.02)

    async def until_screen(self, name: str) -> None:
        """Wait until a screen is shown and has its widgets."""
        await self.until(lambda: self.screen == name and bool(self.app.screen.query("#body")))
        await self.pilot.pause()

    async def to_strand(self) -> None:
        """From a start with a rig through the cautions to the strand."""
        await self.until_screen("CautionScreen")
        await self.press("y")
        await self.until_screen("StrandScreen")

    async def to_pull(self) -> None:
        """On to the pull, with the strand as it is offered."""
        await self.to_strand()
        await self.press("enter")
        await self.until_screen("PullScreen")

    async def to_moving(self) -> None:
        """On to a motor that runs."""
        await self.to_pull()
        await self.press("enter")
        await self.until(lambda: self.moving)

    async def choose(self, key: str) -> None:
        """Choose an entry of the list that is shown."""
        menu = self.app.screen.query_one(Menu)
        await self.press("home")
        while menu.here is not None and menu.here.key != key:
            before = menu.here
            await self.press("down")
            assert menu.here is not before, f"there is no {key}"
        await self.press("enter")
        await self.pilot.pause()

    async def fill(self, field: str, text: str) -> None:
        """Type a text into a field, instead of what stands there."""
        line = self.app.screen.query_one(f"#{field}").query_one(Input)
        line.focus()
        line.value = ""
        await self.pilot.pause()
        await self.press(*("space" if sign == " " else sign for sign in text))


async def _soon(*_: object) -> None:
    """Stands for Textual's wait until this process is idle, which a simulated rig in it never is."""
    await asyncio.sleep(0.005)


@asynccontextmanager
async def running(
    folder: Path,
    demo: SimulationSettings | None = None,
    port: str | None = None,
    size: tuple[int, int] = (100, 30),
    journey: str = "pull",
    start: Start | None = None,
) -> AsyncIterator[Driver]:
    """The app without a terminal, a journey chosen where no rig is given ("" for none); the rig is let go after."""
    bench = Bench(folder)
    app = StrandbenchApp(bench, start or Start(port, demo))
    try:
        with patch("textual.app.wait_for_idle", _soon), patch("textual.pilot.wait_for_idle", _soon):
            async with app.run_test(size=size) as pilot:
                driver = Driver(app, pilot)
                await driver.until(lambda: bool(app.screen.query("#body")))
                yield driver
    finally:
        bench.close()
