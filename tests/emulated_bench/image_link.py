# SPDX-License-Identifier: GPL-3.0-or-later
"""The link between the program and the flashed image, in lockstep."""

from __future__ import annotations

from random import Random

from rig.errors import LinkLost
from tests.emulated_bench.rigs import EmulatedRig
from tests.links import LockstepClock

#: How finely time is cut up [s].
SLICE_S = 0.001


class ImageLink:
    """The emulated chip at the other end of the wire; bytes can be damaged both ways, and the wire cut."""

    address = "test://image"

    def __init__(self, rig: EmulatedRig, clock: LockstepClock) -> None:
        self.rig = rig
        self.clock = clock
        self.flips = 0.0
        self.cut = False
        self._rng = Random(4)
        clock.world.append(self._live)

    def read(self, timeout_s: float) -> bytes:
        self._check()
        deadline_s = self.clock.now_s() + timeout_s
        while not (data := self._damaged(self.rig.receive())) and self.clock.now_s() < deadline_s:
            self.clock.advance(SLICE_S)
        return data

    def write(self, data: bytes) -> None:
        self._check()
        self.rig.send(self._damaged(data))

    def close(self) -> None:
        pass

    def _check(self) -> None:
        if self.cut:
            raise LinkLost("The port test://image is gone: check the cable.")

    def _damaged(self, data: bytes) -> bytes:
        rng = self._rng
        return bytes(byte ^ 1 << rng.randrange(8) if rng.random() < self.flips else byte for byte in data)

    def _live(self, by_s: float) -> None:
        self.rig.run_to(self.rig.now_ns + round(by_s * 1e9))
