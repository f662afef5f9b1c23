"""A link: bytes to and from a board, and which implementation serves a port address.

Owns the `Link` protocol and the choice between a plain socket and the serial library. Knows nothing of
frames, lines or rigs.
"""

from __future__ import annotations

from typing import Protocol

from rig.errors import LinkUnavailable

#: Default line speed [baud]: exact on a 16 MHz 8-bit board, where 115200 is 2 % off.
DEFAULT_BAUD = 250_000
#: Speeds outside this range are a slip of the finger, not a line [baud].
BAUD_RANGE = (300, 4_000_000)
#: A write that takes longer than this means that the other side takes no more data [s].
WRITE_TIMEOUT_S = 0.5
#: Most bytes taken in one read [byte].
READ_SIZE = 65_536
TCP_SCHEME = "tcp://"


class Link(Protocol):
    """Bytes to and from a board. One thread reads; writes may come from any thread, one at a time."""

    @property
    def address(self) -> str:
        """The port as the person named it."""

    def read(self, timeout_s: float) -> bytes:
        """Wait up to `timeout_s` for bytes and return all that are there; b"" when none came.

        Raises LinkLost.
        """

    def write(self, data: bytes) -> None:
        """Send all of `data`. Raises LinkLost."""

    def close(self) -> None:
        """Let go of the port; never raises, may be called twice."""


def open_link(address: str, baud: int = DEFAULT_BAUD) -> Link:
    """Open a port: `tcp://host:port` on a plain socket, anything else by the serial library.

    Raises LinkUnavailable.
    """
    address = address.strip()
    if not address:
        raise LinkUnavailable("No port was named: choose one that `strandbench ports` lists, or tcp://HOST:PORT.")
    if not BAUD_RANGE[0] <= baud <= BAUD_RANGE[1]:
        raise LinkUnavailable(
            f"A line speed of {baud} baud is out of range: give {BAUD_RANGE[0]} to {BAUD_RANGE[1]}, "
            f"most often {DEFAULT_BAUD}."
        )
    if address.lower().startswith(TCP_SCHEME):
        from rig.tcp_link import TcpLink

        return TcpLink(address)
    from rig.serial_link import SerialLink

    return SerialLink(address, baud)
