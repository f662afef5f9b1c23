# SPDX-License-Identifier: GPL-3.0-or-later
"""A scripted session: what is sent and what befalls the board, at which time, and which readings come."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from firmware_protocol.codec import encode
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import Command, Identify, Stream, Zero
from firmware_protocol.vocabulary import PROTOCOL_VERSION
from tests.emulated_bench.host import Rig

#: Zero of the scripted readings [count].
ZERO = 40_000
READINGS_PER_S = 80


@dataclass(slots=True)
class Script:
    """A session in the making: actions at times, readings, silences of the host."""

    name: str
    actions: list[tuple[float, Callable[[Rig], None]]] = field(default_factory=list)
    readings: list[int] = field(default_factory=list)
    silent_from_ms: float = 1e9
    silent_to_ms: float = 1e9
    end_ms: float = 0.0
    request: int = 0

    def send(self, at_ms: float, message: Command, times: int = 1) -> None:
        """Send a command, numbered here unless it has a number; `times` in all, with the same number."""
        if message.request == 0:
            self.request = self.request % 255 + 1
            message = replace(message, request=self.request)
        self.raw(at_ms, encode_frame(encode(message)) * times)

    def raw(self, at_ms: float, data: bytes) -> None:
        """Put these bytes on the line."""
        self.do(at_ms, lambda rig: rig.send(data))

    def set(self, at_ms: float, name: str, value: float) -> None:
        """Let something befall the board."""
        self.do(at_ms, lambda rig: rig.set(name, value))

    def reset(self, at_ms: float) -> None:
        """Reset the board."""
        self.do(at_ms, lambda rig: rig.reset())

    def do(self, at_ms: float, action: Callable[[Rig], None]) -> None:
        """Do this at that time."""
        self.actions.append((at_ms, action))
        self.end_ms = max(self.end_ms, at_ms + 300)

    def begin(self) -> None:
        """Identify, take a zero, switch the samples on."""
        self.send(203, Identify(0, PROTOCOL_VERSION))
        self.send(219, Zero(0))
        self.send(231, Stream(0, 1))

    def level(self, counts: int, until_ms: float) -> None:
        """Readings stay at this level up to a time."""
        missing = int(until_ms * READINGS_PER_S / 1000) - len(self.readings)
        self.readings += [ZERO + counts] * missing
