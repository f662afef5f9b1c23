"""Between the thread that runs a pull and the screen: keeps what was not drawn yet, and says once that there is.

The newest snapshot replaces older ones; the points of the curve are kept, all of them, until they are taken.
Knows rig's snapshots, nothing of widgets.
"""

from __future__ import annotations

import threading
from array import array
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rig.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Update:
    """What is new: the newest snapshot, and the points that came since the last update."""

    snapshot: Snapshot
    stretch_pct: array[float]
    force_n: array[float]


class Feed:
    """An observer of one pull. `wake` is called in the pull's thread when there is news and nobody knows yet."""

    def __init__(self, wake: Callable[[], object]) -> None:
        self._wake = wake
        self._lock = threading.Lock()
        self._snapshot: Snapshot | None = None
        self._stretch_pct, self._force_n = array("d"), array("d")
        self._woken = False

    def __call__(self, snapshot: Snapshot) -> None:
        """Take in a snapshot; comes back at once."""
        points = curve_points(snapshot)
        with self._lock:
            self._snapshot = snapshot
            for stretch, force in points:
                self._stretch_pct.append(stretch)
                self._force_n.append(force)
            wake, self._woken = not self._woken, True
        if wake:
            self._wake()

    def take(self) -> Update | None:
        """What is new since the last call; None where nothing is."""
        with self._lock:
            self._woken = False
            if self._snapshot is None:
                return None
            update = Update(self._snapshot, self._stretch_pct, self._force_n)
            self._snapshot = None
            self._stretch_pct, self._force_n = array("d"), array("d")
            return update


def curve_points(snapshot: Snapshot) -> list[tuple[float, float]]:
    """The points of the live curve in a snapshot's batch; none before the zero is taken or without calibration."""
    from rig.snapshot import Phase

    batch, scale = snapshot.batch, snapshot.scale
    if batch is None or snapshot.phase in (Phase.STARTING, Phase.ZEROING, Phase.RETURNING):
        return []
    found = []
    for counts, steps in zip(batch.counts, batch.steps, strict=True):
        stretch, force = scale.strain_pct(steps), scale.force_n(counts)
        if stretch is not None and force is not None:
            found.append((stretch, force))
    return found
