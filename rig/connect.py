"""One call from a port's address to a rig that answers: what programs and people start with."""

from __future__ import annotations

from rig.clock import Clock, WallClock
from rig.link import DEFAULT_BAUD, open_link
from rig.stretcher import Stretcher


def connect(port_url: str, baud: int = DEFAULT_BAUD, clock: Clock | None = None) -> Stretcher:
    """Open a port and give the rig behind it, for use in a `with` block (which identifies it and, at its end,
    stops it). Raises LinkUnavailable here, and NotARig or WrongProtocol on entering the block.
    """
    return Stretcher(open_link(port_url, baud), clock or WallClock())
