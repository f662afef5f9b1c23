"""The first question: which rig. Ports that were found, the simulated rig, a typed address, or the recordings."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from tui import wording
from tui.messages import PortsFound
from tui.safe_text import clean
from tui.screens.connecting import ConnectingScreen
from tui.widgets.menu import Entry, Menu

#: What the key of a port's entry begins with; the other keys are names of screens.
PORT = "port:"


class ConnectScreen(ConnectingScreen):
    """Choose a rig."""

    QUESTION = wording.CONNECT_QUESTION
    ABOUT = "connect"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f5", "look_again", wording.CONNECT_REFRESH),
        Binding("f2", "app.go('start')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def parts(self) -> Iterable[Widget]:
        """The list."""
        yield Menu(self.bench_app.signs, entries(()), id="rigs")

    def on_mount(self) -> None:
        """Look for ports; connect at once where the program was started with a rig."""
        self.query_one(Menu).focus()
        start = self.bench_app.take_start()
        if start.demo is not None:
            self.simulate(start.demo)
        elif start.port is not None:
            self.connect_to(start.port)
        else:
            self.call_after_refresh(self.action_look_again)

    def action_look_again(self) -> None:
        """List the ports anew."""
        self.background(find_ports)

    def on_ports_found(self, message: PortsFound) -> None:
        """Show the ports."""
        self.query_one(Menu).fill(entries(message.ports))
        if not self.connecting:
            self.tell("" if message.ports else wording.CONNECT_NO_PORTS)

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Go where the person chose to."""
        if self.connecting:
            return
        if message.key.startswith(PORT):
            self.connect_to(message.key.removeprefix(PORT))
        else:
            self.bench_app.go(message.key)


def entries(ports: tuple[tuple[str, str], ...]) -> list[Entry]:
    """The list: ports first, then what is always there."""
    return [
        *(Entry(PORT + device, clean(device, 40), clean(about)) for device, about in ports),
        Entry("simulate", wording.CONNECT_SIMULATED, wording.CONNECT_SIMULATED_ABOUT),
        Entry("address", wording.CONNECT_ADDRESS, wording.CONNECT_ADDRESS_ABOUT),
        Entry("library", wording.CONNECT_LIBRARY, wording.CONNECT_LIBRARY_ABOUT),
    ]


def find_ports() -> PortsFound:
    """The serial ports of this computer. Blocks."""
    from rig.serial_link import list_ports

    return PortsFound(tuple((port.device, port.description) for port in list_ports()))
