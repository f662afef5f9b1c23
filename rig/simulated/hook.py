"""The hook of a simulated load cell: weights that somebody hangs on it, in place of a strand or beside one.

Who hangs them is either a list, gone on in by one each time the host has taken readings and switched them off, or
whoever calls `hang`. Knows no board and no amplifier.
"""

from __future__ import annotations

from collections.abc import Sequence

#: Gravity where simulated rigs stand [m/s2]: GRS80 at latitude 51.5°, 30 m above the sea.
GRAVITY_M_S2 = 9.81194
#: Share of its force in vacuum that a weight of a conventional mass keeps in air of 1.2 kg/m3: OIML D 28.
IN_AIR = 1.0 - 1.2 / 8000.0


class Hook:
    """What hangs on the cell now, and what comes next."""

    def __init__(self, masses_g: Sequence[float] = ()) -> None:
        self.mass_g = masses_g[0] if masses_g else 0.0
        self._next = list(masses_g[1:])

    @property
    def force_n(self) -> float:
        """Pull of what hangs on it [N]."""
        return self.mass_g / 1000.0 * GRAVITY_M_S2 * IN_AIR

    def hang(self, mass_g: float) -> None:
        """Hang this instead of what hung before."""
        self.mass_g = mass_g

    def readings_taken(self) -> None:
        """The host has its readings: hang what comes next, if anything does."""
        if self._next:
            self.mass_g = self._next.pop(0)
