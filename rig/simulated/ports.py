"""The two kinds of port a simulated rig is served behind: a TCP port, and a pseudo-terminal where there are such.

A port never blocks: it takes as many bytes as fit and says how many that were. One host at a time, as on a cable.
Knows no board.
"""

from __future__ import annotations

import contextlib
import os
import select
import socket
import sys
import time
from typing import Protocol

READ_BYTES = 4096
#: What the computer keeps for a TCP client that does not read: a line is no warehouse, so that losses show in time.
SEND_BUFFER_BYTES = 65_536
TCP_PREFIX = "tcp://"
PTY = "pty"


class Port(Protocol):
    """Where a host can meet the board."""

    url: str

    @property
    def connected(self) -> bool:
        """Whether a host is there."""

    def wait(self, seconds: float) -> None:
        """Wait until a host has something to say, at most so long."""

    def accept(self) -> bool:
        """Let a host in; True where one has come since the last call."""

    def read(self) -> bytes:
        """What the host has sent; nothing where it has not."""

    def write(self, data: bytes) -> int:
        """Hand over as much as fits; how many bytes that were."""

    def drop(self) -> None:
        """Send the host away, as when the cable is pulled."""

    def close(self) -> None:
        """Close the port for good."""


def open_port(listen: str) -> Port:
    """The port that `listen` names: "tcp://host:port", or "pty".

    Raises ValueError where it names none, OSError where it can't be had; both with a sentence for a person.
    """
    if listen == PTY:
        return PtyPort()
    if listen.startswith(TCP_PREFIX):
        return TcpPort(*_host_and_port(listen))
    raise ValueError(f"a simulated rig listens on tcp://HOST:PORT or on {PTY}, not on {listen!r}")


def _host_and_port(url: str) -> tuple[str, int]:
    host, _, number = url.removeprefix(TCP_PREFIX).rpartition(":")
    if not host or not number.isdecimal() or int(number) > 65535:
        raise ValueError(
            f"{url!r} is no address to listen on; write tcp://127.0.0.1:4242, or port 0 for a free one"
        )
    return host.strip("[]"), int(number)


class TcpPort:
    """A TCP port for one host at a time; a second one is turned away at once."""

    def __init__(self, host: str, port: int) -> None:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        self._listener = socket.socket(family, socket.SOCK_STREAM)
        self._host: socket.socket | None = None
        try:
            if os.name == "posix":
                self._listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            self._listener.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER_BYTES)
            self._listener.bind((host, port))
            self._listener.listen(4)
        except OSError as error:
            self._listener.close()
            where = f"{TCP_PREFIX}{host}:{port}"
            raise OSError(
                f"can't listen on {where} ({error.strerror}); choose another port, or 0 for a free one"
            ) from None
        self._listener.setblocking(False)
        shown = f"[{host}]" if ":" in host else host
        self.url = f"{TCP_PREFIX}{shown}:{self._listener.getsockname()[1]}"

    @property
    def connected(self) -> bool:
        """Whether a host is there."""
        return self._host is not None

    def wait(self, seconds: float) -> None:
        """Wait until a host has something to say, at most so long."""
        heard = [self._listener] if self._host is None else [self._listener, self._host]
        select.select(heard, [], [], seconds)

    def accept(self) -> bool:
        """Let a host in; True where one has come since the last call."""
        try:
            host, _ = self._listener.accept()
        except OSError:
            return False
        if self._host is not None:
            host.close()
            return False
        host.setblocking(False)
        host.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._host = host
        return True

    def read(self) -> bytes:
        """What the host has sent; nothing where it has not."""
        if self._host is None:
            return b""
        try:
            data = self._host.recv(READ_BYTES)
        except BlockingIOError:
            return b""
        except OSError:
            data = b""
        if not data:
            self.drop()
        return data

    def write(self, data: bytes) -> int:
        """Hand over as much as fits; how many bytes that were."""
        if self._host is None or not data:
            return 0
        try:
            return self._host.send(data)
        except BlockingIOError:
            return 0
        except OSError:
            self.drop()
            return 0

    def drop(self) -> None:
        """Send the host away, as when the cable is pulled."""
        if self._host is not None:
            self._host.close()
            self._host = None

    def close(self) -> None:
        """Close the port for good."""
        self.drop()
        self._listener.close()


class PtyPort:
    """A pseudo-terminal: to the host it is a serial device. Linux and macOS only."""

    def __init__(self) -> None:
        if sys.platform == "win32":
            raise ValueError("there are no pseudo-terminals on Windows; listen on tcp://127.0.0.1:0 instead")
        import tty

        self._master, device = os.openpty()
        tty.setraw(device)
        self.url = os.ttyname(device)
        os.close(device)
        os.set_blocking(self._master, False)
        self._there = False
        self._heard = b""

    @property
    def connected(self) -> bool:
        """Whether a host has the device open."""
        return self._there

    def wait(self, seconds: float) -> None:
        """Wait until a host has something to say, at most so long."""
        if self._there:
            select.select([self._master], [], [], seconds)
        else:
            time.sleep(seconds)

    def accept(self) -> bool:
        """Let a host in; True where one has come since the last call.

        A device that nobody has open shows in reading: an error on Linux, an end of file on macOS.
        """
        was_there = self._there
        try:
            data = os.read(self._master, READ_BYTES)
        except BlockingIOError:
            self._there = True
        except OSError:
            self._there = False
        else:
            self._there = bool(data)
            self._heard += data
        return self._there and not was_there

    def read(self) -> bytes:
        """What the host has sent; nothing where it has not."""
        data, self._heard = self._heard, b""
        return data

    def write(self, data: bytes) -> int:
        """Hand over as much as fits; how many bytes that were."""
        if not self._there or not data:
            return 0
        try:
            return os.write(self._master, data)
        except OSError:
            return 0

    def drop(self) -> None:
        """Take the device away, as when the cable is pulled: it does not come back."""
        self.close()

    def close(self) -> None:
        """Close the port for good."""
        self._there = False
        if self._master >= 0:
            with contextlib.suppress(OSError):
                os.close(self._master)
            self._master = -1
