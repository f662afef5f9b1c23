"""A board behind `tcp://host:port`, on a plain socket. Knows bytes only."""

from __future__ import annotations

import contextlib
import select
import socket
from urllib.parse import urlsplit

from rig.errors import LinkLost, LinkUnavailable
from rig.link import READ_SIZE, WRITE_TIMEOUT_S

#: How long a connection may take to be made [s].
CONNECT_TIMEOUT_S = 3.0


class TcpLink:
    """A connected socket."""

    def __init__(self, address: str) -> None:
        self.address = address
        host, port = _host_and_port(address)
        try:
            self._socket = socket.create_connection((host, port), timeout=CONNECT_TIMEOUT_S)
        except (OSError, UnicodeError) as problem:  # UnicodeError: a host name that no name can be
            raise LinkUnavailable(_why_not(host, port, problem)) from problem
        self._socket.settimeout(WRITE_TIMEOUT_S)
        self._heard = False
        # A stop is a few bytes: it must not wait for more to send.
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def read(self, timeout_s: float) -> bytes:
        """Wait up to `timeout_s` for bytes and return all that are there. Raises LinkLost."""
        try:
            if not select.select([self._socket], [], [], timeout_s)[0]:
                return b""
            data = self._socket.recv(READ_SIZE)
        except (OSError, ValueError) as problem:  # ValueError: the socket was closed here
            raise LinkLost(self._gone()) from problem
        if not data:
            raise LinkLost(self._gone())
        self._heard = True
        return data

    def write(self, data: bytes) -> None:
        """Send all of `data`. Raises LinkLost."""
        try:
            self._socket.sendall(data)
        except OSError as problem:
            raise LinkLost(self._gone()) from problem

    def close(self) -> None:
        """Let go of the socket."""
        with contextlib.suppress(OSError):
            self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()

    def _gone(self) -> str:
        if not self._heard:
            return f"{self.address} closed the connection at once: another program may be using that rig, close it."
        return (
            f"The connection to {self.address} is gone: see whether the program or adapter at the other end still "
            "runs, then connect again."
        )


def _host_and_port(address: str) -> tuple[str, int]:
    try:
        parts = urlsplit(address)
        host, port = parts.hostname, parts.port
    except ValueError:
        host, port = None, None
    if not host or not port:
        raise LinkUnavailable(f"{address!r} is not a network port: write it like tcp://127.0.0.1:5555.")
    return host, port


def _why_not(host: str, port: int, problem: Exception) -> str:
    where = f"tcp://{host}:{port}"
    if isinstance(problem, ConnectionRefusedError):
        return f"Nothing listens at {where}: start the rig or simulator there first, or correct the port number."
    if isinstance(problem, TimeoutError):
        return f"{where} did not answer within {CONNECT_TIMEOUT_S:.0f} s: check the network and the address."
    if isinstance(problem, (socket.gaierror, UnicodeError)):
        return f"The host name {host!r} is not known here: check its spelling or use its number."
    return f"{where} can't be reached ({problem}): check the network and the address."
