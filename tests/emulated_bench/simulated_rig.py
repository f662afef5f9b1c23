# SPDX-License-Identifier: GPL-3.0-or-later
"""The program's own simulated board, held like the compiled rigs, with readings from a script."""

from __future__ import annotations

from collections.abc import Sequence

from rig.simulated.board import SimulatedBoard
from rig.simulated.mishaps import befall
from rig.simulated.settings import SimulationSettings

#: A byte on the line, with 11 bits as the emulated chip counts them [ns].
BYTE_NS = 44_000


class ScriptedAmplifier:
    """Stands in for the simulated amplifier: given readings at exactly the nominal rate."""

    def __init__(self, rate_hz: float) -> None:
        self.dead = False
        self.frozen = False
        self.zero_counts = 0.0
        self._period_us = 1e6 / rate_hz
        self._reads = 1
        self._delivered = 0
        self._script: Sequence[int] = (0,)

    @property
    def due_us(self) -> int:
        """When the next reading is due."""
        return round(self._reads * self._period_us)

    def script(self, readings: Sequence[int]) -> None:
        """Deliver these readings."""
        self._script = readings

    def follow(self, force_n: float, dt_us: int) -> None:
        """The force of the simulated strand does not count."""

    def read(self) -> int | None:
        """The next reading."""
        self._reads += 1
        if self.dead:
            return None
        at = min(self._delivered, len(self._script) - 1)
        self._delivered += 1
        return self._script[at]


class SimulatedRig:
    """The simulated board, with a line that takes its time towards the board."""

    def __init__(self) -> None:
        self._board = SimulatedBoard(SimulationSettings())
        self._amplifier = ScriptedAmplifier(80.0)
        self._board.machine.amplifier = self._amplifier  # type: ignore[assignment]
        self._under_way: list[tuple[int, int]] = []
        self._now_ns = 0

    @property
    def now_ns(self) -> int:
        """True time since power-on."""
        return self._now_ns

    def run_to(self, ns: int) -> None:
        """Let time pass, with each byte arriving at its time."""
        while self._under_way and self._under_way[0][0] <= ns:
            due_ns, byte = self._under_way.pop(0)
            self._advance(due_ns)
            self._board.receive(bytes([byte]))
        self._advance(ns)

    def send(self, data: bytes) -> None:
        """Put bytes on the line, one after the other from now on."""
        free_ns = max(self._now_ns, self._under_way[-1][0] if self._under_way else 0)
        self._under_way += [(free_ns + (i + 1) * BYTE_NS, byte) for i, byte in enumerate(data)]

    def receive(self) -> bytes:
        """What the board has sent since the last call."""
        return self._board.take_output()

    def set(self, name: str, value: float) -> None:
        """Set a value of the world."""
        machine = self._board.machine
        match name:
            case "silent":
                self._amplifier.dead = bool(value)
            case "emergency":
                machine.press_emergency_stop(bool(value))
            case "far_held":
                machine.stage.far_pressed_by_hand = bool(value)
            case _:
                raise LookupError(name)
        machine.happen()  # as where the simulated rig's own faults come

    def script(self, readings: Sequence[int]) -> None:
        """Deliver these readings."""
        self._amplifier.script(readings)

    def reset(self) -> None:
        """Start the board again."""
        befall(self._board.machine, "reset", begins=True)

    def close(self) -> None:
        """There is nothing to free."""

    def _advance(self, ns: int) -> None:
        step_us = ns // 1000 - self._now_ns // 1000
        self._now_ns = ns
        self._board.advance(step_us, step_us)
