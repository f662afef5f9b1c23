# SPDX-License-Identifier: GPL-3.0-or-later
"""A board in its world as Python holds it: bytes in, bytes out, time by the nanosecond. Knows no messages."""

from __future__ import annotations

import ctypes
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.emulated_bench import build

MS = 1_000_000
RECEIVE_ROOM = 65_536
LOG_ROOM = 65_536


class _StepRecord(ctypes.Structure):
    _fields_ = (("ns", ctypes.c_int64), ("position", ctypes.c_int32))


class _ReadingRecord(ctypes.Structure):
    _fields_ = (("ns", ctypes.c_int64), ("counts", ctypes.c_int32), ("position", ctypes.c_int32))


@dataclass(frozen=True, slots=True)
class Step:
    """A step as the driver saw it: true time [ns] and the motor's place after it."""

    ns: int
    position: int


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading as the amplifier had it ready: true time [ns], counts, the motor's true place."""

    ns: int
    counts: int
    position: int


def _declare(library: ctypes.CDLL) -> ctypes.CDLL:
    rig, size = ctypes.c_void_p, ctypes.c_size_t
    library.rig_new.restype, library.rig_new.argtypes = rig, [ctypes.c_char_p]
    library.rig_free.restype, library.rig_free.argtypes = None, [rig]
    library.rig_run.restype, library.rig_run.argtypes = None, [rig, ctypes.c_int64]
    library.rig_now.restype, library.rig_now.argtypes = ctypes.c_int64, [rig]
    library.rig_send.restype, library.rig_send.argtypes = None, [rig, ctypes.c_char_p, size]
    library.rig_unsent.restype, library.rig_unsent.argtypes = size, [rig]
    library.rig_receive.restype, library.rig_receive.argtypes = size, [rig, ctypes.c_char_p, size]
    library.rig_set.restype, library.rig_set.argtypes = ctypes.c_bool, [rig, ctypes.c_char_p, ctypes.c_double]
    value = ctypes.POINTER(ctypes.c_double)
    library.rig_get.restype, library.rig_get.argtypes = ctypes.c_bool, [rig, ctypes.c_char_p, value]
    library.rig_strand.restype = None
    library.rig_strand.argtypes = [rig, value, value, size, ctypes.c_double]
    library.rig_script.restype, library.rig_script.argtypes = None, [rig, ctypes.POINTER(ctypes.c_int32), size]
    library.rig_steps.restype = library.rig_readings.restype = size
    library.rig_steps.argtypes = [rig, ctypes.POINTER(_StepRecord), size]
    library.rig_readings.argtypes = [rig, ctypes.POINTER(_ReadingRecord), size]
    library.rig_reset.restype, library.rig_reset.argtypes = None, [rig, ctypes.c_bool]
    return library


class CompiledRig:
    """A rig in a C library; both kinds have the same functions."""

    def __init__(self, library: Path, image: Path | None) -> None:
        self._library = _declare(ctypes.CDLL(str(library)))
        self._rig = self._library.rig_new(str(image).encode() if image else None)
        assert self._rig, f"{image} can't be loaded"
        self._room = ctypes.create_string_buffer(RECEIVE_ROOM)
        self._readings: ctypes.Array[ctypes.c_int32] | None = None

    def close(self) -> None:
        """Free the rig."""
        self._library.rig_free(self._rig)
        self._rig = None

    @property
    def now_ns(self) -> int:
        """True time since power-on."""
        return int(self._library.rig_now(self._rig))

    def run_to(self, ns: int) -> None:
        """Run to this true time."""
        self._library.rig_run(self._rig, ns)

    def send(self, data: bytes) -> None:
        """Put bytes on the line, one after the other from now on."""
        self._library.rig_send(self._rig, data, len(data))

    @property
    def unsent(self) -> int:
        """Bytes still on their way to the board."""
        return int(self._library.rig_unsent(self._rig))

    def receive(self) -> bytes:
        """What the board has sent since the last call."""
        parts = []
        while size := self._library.rig_receive(self._rig, self._room, RECEIVE_ROOM):
            parts.append(self._room.raw[:size])
        return b"".join(parts)

    def set(self, name: str, value: float) -> None:
        """Set a value of the world; pins follow at once."""
        if not self._library.rig_set(self._rig, name.encode(), value):
            raise LookupError(name)

    def get(self, name: str) -> float:
        """Read a value of the world."""
        value = ctypes.c_double()
        if not self._library.rig_get(self._rig, name.encode(), ctypes.byref(value)):
            raise LookupError(name)
        return value.value

    def strand(self, knots: Sequence[tuple[float, float]], break_at: float) -> None:
        """Mount a strand: force [counts] at positions [steps], straight in between."""
        row = ctypes.c_double * len(knots)
        steps, counts = row(*(k[0] for k in knots)), row(*(k[1] for k in knots))
        self._library.rig_strand(self._rig, steps, counts, len(knots), break_at)

    def script(self, readings: Sequence[int]) -> None:
        """Deliver these readings, whatever the strand does."""
        self._readings = (ctypes.c_int32 * len(readings))(*readings)
        self._library.rig_script(self._rig, self._readings, len(readings))

    def steps(self) -> list[Step]:
        """The last steps, oldest first."""
        log = (_StepRecord * LOG_ROOM)()
        count = self._library.rig_steps(self._rig, log, LOG_ROOM)
        return [Step(log[i].ns, log[i].position) for i in range(count)]

    def readings(self) -> list[Reading]:
        """The last readings, oldest first."""
        log = (_ReadingRecord * LOG_ROOM)()
        count = self._library.rig_readings(self._rig, log, LOG_ROOM)
        return [Reading(log[i].ns, log[i].counts, log[i].position) for i in range(count)]

    def reset(self, *, power_lost: bool = False) -> None:
        """Start the board again: RAM kept, or overwritten."""
        self._library.rig_reset(self._rig, power_lost)


class EmulatedRig(CompiledRig):
    """The firmware's ELF image on an emulated chip."""

    def __init__(self, image: Path | None = None) -> None:
        self.image = image or build.firmware()
        super().__init__(build.emulator(), self.image)
        self._library.rig_hang.restype = None
        self._library.rig_hang.argtypes = [ctypes.c_void_p, ctypes.c_uint32, ctypes.c_bool]
        self._library.rig_poke.restype = None
        self._library.rig_poke.argtypes = [ctypes.c_void_p, ctypes.c_uint16, ctypes.c_char_p, ctypes.c_size_t]
        self._library.rig_untouched.restype = ctypes.c_size_t
        self._library.rig_untouched.argtypes = [ctypes.c_void_p, ctypes.c_uint16]

    def hang(self, function: str, hang: bool = True) -> None:
        """Make the program hang where a function begins, or let it go on."""
        self._library.rig_hang(self._rig, build.symbol(self.image, function), hang)

    def poke(self, variable: str, data: bytes) -> None:
        """Write to a variable of the program, between two of its instructions."""
        address = build.symbol(self.image, variable) & 0xFFFF
        self._library.rig_poke(self._rig, address, data, len(data))

    def untouched_ram(self, start: int) -> int:
        """Bytes from this address on that nothing was ever written to."""
        return int(self._library.rig_untouched(self._rig, start))


class NativeRig(CompiledRig):
    """The firmware's core on its own. One at a time."""

    def __init__(self, board: Path = build.BOARD) -> None:
        super().__init__(build.native_core(board), None)
