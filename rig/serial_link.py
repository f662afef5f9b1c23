"""Ports of the serial library: device names and its own URLs (socket://, rfc2217://, loop:// ...).

The only module that imports pyserial. Knows bytes only; turns the library's exceptions into sentences.
"""

from __future__ import annotations

import contextlib
import errno
from dataclasses import dataclass
from typing import Any

import serial

from rig.errors import LinkLost, LinkUnavailable
from rig.link import READ_SIZE, WRITE_TIMEOUT_S

#: The library's plain-socket scheme reports at most 1 byte waiting, so its bytes are fetched in another way.
SOCKET_SCHEME = "socket://"
#: Line speed for a pseudo-terminal on systems that refuse odd speeds there; it means nothing on one [baud].
PTY_BAUD = 38_400

#: What the library may raise when a port goes away under it. TypeError and AttributeError come from a
#: handle that was set to None while a call was on its way.
_GONE = (serial.SerialException, OSError, TypeError, AttributeError)


@dataclass(frozen=True, slots=True)
class PortInfo:
    """A serial port of this computer."""

    device: str
    description: str
    hardware: str


def list_ports() -> tuple[PortInfo, ...]:
    """The serial ports this computer has now, in the order of their names."""
    from serial.tools import list_ports as library

    found = sorted(library.comports(), key=lambda port: str(port.device))
    return tuple(PortInfo(str(p.device), _told(p.description), _told(p.hwid)) for p in found)


class SerialLink:
    """An open port, held for this program alone where the system can do so."""

    def __init__(self, address: str, baud: int) -> None:
        self.address = address
        self._by_socket = address.lower().startswith(SOCKET_SCHEME)
        self._timeout_s = 0.0
        self._port: Any = _open(address, baud)

    def read(self, timeout_s: float) -> bytes:
        """Wait up to `timeout_s` for bytes and return all that are there. Raises LinkLost."""
        try:
            if not timeout_s:
                return self._rest()
            self._set_timeout(timeout_s)
            first: bytes = self._port.read(1)
            return first + self._rest() if first else b""
        except _GONE as problem:
            raise LinkLost(self._gone()) from problem

    def write(self, data: bytes) -> None:
        """Send all of `data`. Raises LinkLost."""
        try:
            self._port.write(data)
        except _GONE as problem:
            raise LinkLost(self._gone()) from problem

    def close(self) -> None:
        """Let go of the port."""
        with contextlib.suppress(*_GONE):
            self._port.close()

    def _rest(self) -> bytes:
        if self._by_socket:
            self._set_timeout(0.0)
            rest: bytes = self._port.read(READ_SIZE)
        else:
            waiting = int(self._port.in_waiting)
            rest = self._port.read(waiting) if waiting else b""
        return rest

    def _set_timeout(self, timeout_s: float) -> None:
        # Setting it makes the library look at the whole port configuration again: only when it changes.
        if timeout_s != self._timeout_s:
            self._port.timeout = timeout_s
            self._timeout_s = timeout_s

    def _gone(self) -> str:
        return f"The port {self.address} is gone: check the cable and the board's power, then connect again."


def _open(address: str, baud: int) -> Any:  # noqa: ANN401 - the class depends on the address
    try:
        try:
            return _open_at(address, baud)
        except OSError as problem:
            if problem.errno not in (errno.ENOTTY, errno.EINVAL) or isinstance(problem, serial.SerialException):
                raise
            return _open_at(address, PTY_BAUD)
    except Exception as problem:  # the handlers of the library's URLs raise whatever they meet
        raise LinkUnavailable(_why_not(address, problem)) from problem


def _open_at(address: str, baud: int) -> Any:  # noqa: ANN401
    return serial.serial_for_url(
        address, baudrate=baud, timeout=0.0, write_timeout=WRITE_TIMEOUT_S, exclusive=_exclusive(address)
    )


def _exclusive(address: str) -> bool | None:
    # Only a device of this computer can be locked; the URL handlers know no such thing.
    return None if "://" in address else True


def _why_not(address: str, problem: Exception) -> str:
    number = problem.errno if isinstance(problem, OSError) else None
    text = " ".join(str(problem).split())
    for numbers, words, sentence in _REASONS:
        if number in numbers or words in text:
            return sentence.format(address=address)
    return f"The port {address} can't be opened ({text}): check the cable and the address."


#: Why a port does not open: the system's numbers, or words of the library, and the sentence for the person.
_REASONS: tuple[tuple[frozenset[int], str, str], ...] = (
    (
        frozenset({errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK}),
        "exclusively lock",
        "The port {address} is in use by another program: close that program, then try again.",
    ),
    (
        frozenset({errno.ENOENT}),
        "FileNotFoundError",
        "There is no port {address}: plug the rig in, and choose one that `strandbench ports` lists.",
    ),
    (
        frozenset({errno.EACCES, errno.EPERM}),
        "PermissionError",  # how the library words a busy port on Windows
        "You are not allowed to open {address}, or another program has it: close that program, or join the group "
        "that owns serial ports (often `dialout` or `uucp`) and log in again.",
    ),
    (
        frozenset({errno.ECONNREFUSED}),
        "refused",
        "Nothing listens at {address}: start the rig or simulator there first, or correct the address.",
    ),
    (
        frozenset(),
        "not known",
        "{address!r} is not a port this program knows: give a device name, or tcp://HOST:PORT.",
    ),
    (
        frozenset({errno.ENOTTY, errno.EINVAL, errno.EISDIR, errno.ENXIO}),
        "onfigure port",
        "{address} is not a serial port: choose one that `strandbench ports` lists.",
    ),
)


def _told(text: str | None) -> str:
    return "" if text in (None, "n/a") else str(text)
