"""The class's page on a port of this computer: opened, looked at by many, closed again.

Owns the socket, its threads and the limits of both; `handler` answers. Nobody who looks on can move anything: all
that is known here is a broadcast to read from.
"""

from __future__ import annotations

import ipaddress
import socket
import threading
from http.server import ThreadingHTTPServer
from pathlib import Path
from typing import Any

from tui import wording_page as wording
from tui.classroom.access import Access
from tui.classroom.broadcast import Broadcast
from tui.classroom.follow import Follower
from tui.classroom.handler import PageHandler
from tui.classroom.page_values import reel_value
from tui.classroom.series import Reel
from tui.failure import CommandError
from tui.safe_text import clean
from tui.widgets.link_status import RigState

#: Who may look on unless told otherwise: this computer.
THIS_COMPUTER = "127.0.0.1"
#: All addresses of this computer.
EVERYWHERE = "0.0.0.0"
#: A port that nothing well known uses.
USUAL_PORT = 8350
#: Connections at a time; further ones are turned away at once.
MOST_CONNECTIONS = 300


class PageServer(ThreadingHTTPServer):
    """The socket and what its handlers share."""

    daemon_threads = True
    block_on_close = False
    request_queue_size = 64

    def __init__(
        self, address: tuple[str, int], family: socket.AddressFamily, broadcast: Broadcast, access: Access
    ) -> None:
        self.address_family = family
        self.broadcast, self.access = broadcast, access
        self._free = threading.BoundedSemaphore(MOST_CONNECTIONS)
        self._counting = threading.Lock()
        self.onlookers = 0
        super().__init__(address, PageHandler)

    def process_request(self, request: Any, client_address: Any) -> None:  # noqa: ANN401 - as inherited
        """Answer in a thread of its own, unless there are too many already."""
        if not self._free.acquire(blocking=False):
            self.shutdown_request(request)
            return
        super().process_request(request, client_address)

    def process_request_thread(self, request: Any, client_address: Any) -> None:  # noqa: ANN401 - as inherited
        """Answer; then there is room for another."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._free.release()

    def handle_error(self, request: Any, client_address: Any) -> None:  # noqa: ANN401 - as inherited
        """A browser that goes away in the middle of an answer is nobody's trouble."""

    def count(self, change: int) -> None:
        """Somebody begins or ends to look on."""
        with self._counting:
            self.onlookers += change


class ClassPage:
    """The page while it is open. Raises CommandError where the port or the address can't be had."""

    def __init__(self, folder: Path, host: str = THIS_COMPUTER, port: int = USUAL_PORT) -> None:
        self.host = host
        self.broadcast = Broadcast()
        self.access = Access(needed=not is_this_computer(host))
        self._server = _listen(host, port, self.broadcast, self.access)
        self._thread = threading.Thread(
            target=self._server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True
        )
        self._follower = Follower(folder, self.broadcast)
        self._thread.start()
        self._follower.start()

    @property
    def word(self) -> str:
        """The word to get in; "" where none is asked for."""
        return self.access.word

    @property
    def onlookers(self) -> int:
        """How many look on now."""
        return self._server.onlookers

    @property
    def url(self) -> str:
        """Where to look, from the machines that may."""
        host = self.host
        if _is_unspecified(host):
            host = own_address()
        shown = f"[{host}]" if ":" in host else host
        return f"http://{shown}:{self._server.server_address[1]}/"

    def show_rig(self, state: RigState) -> None:
        """Tell which rig there is, and what its motor does."""
        self.broadcast.tell_rig(state.name, state.doing, simulated=state.simulated)

    def show_reel(self, reel: Reel) -> None:
        """Let every browser play these recordings."""
        self.broadcast.show_reel(reel_value(reel))

    def close(self) -> None:
        """Close the page: whoever looks on is told, and the port is free again."""
        self.broadcast.close()
        self._follower.close()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join(2.0)


def _listen(host: str, port: int, broadcast: Broadcast, access: Access) -> PageServer:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError):
        raise CommandError(wording.BAD_HOST.format(host=clean(host))) from None
    family, address = found[0][0], found[0][4]
    try:
        return PageServer((str(address[0]), port), family, broadcast, access)
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise CommandError(wording.PORT_TAKEN.format(port=port, why=why)) from problem


def is_this_computer(host: str) -> bool:
    """Whether an address to listen at is reached from this computer alone."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _is_unspecified(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_unspecified
    except ValueError:
        return False


def own_address() -> str:
    """The address under which this computer is reached from its network, as far as it can tell; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(
                ("192.0.2.1", 9)
            )  # an address for documents (RFC 5737): it is only asked which way it lies
            return str(probe.getsockname()[0])
        except OSError:
            return THIS_COMPUTER
