"""What the tests of pulls share: a plan that is quick, and an observer that does something at a moment."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from recordings.format import Method, Specimen
from rig.plan import PullPlan
from rig.snapshot import Phase, Snapshot

#: Fast enough for a test: a strand of 30 mm breaks within 20 s of board time.
SPEED_MM_MIN = 60.0


def plan(directory: Path, *, method: dict[str, Any] | None = None, **more: Any) -> PullPlan:
    """A pull of an invented strand, with a folder of calibrations that is empty."""
    wanted = Method(**{"speed_mm_min": SPEED_MM_MIN, **(method or {})})
    return PullPlan(
        Specimen(30.0, reference="invented"),
        wanted,
        directory=directory,
        calibration_folder=directory / "none",
        **more,
    )


@dataclass
class Watcher:
    """Keeps all snapshots; does something once, when the condition is first met."""

    when: Callable[[Snapshot], bool] = lambda snapshot: False
    do: Callable[[], None] = lambda: None
    seen: list[Snapshot] = field(default_factory=list)
    done: bool = False

    def __call__(self, snapshot: Snapshot) -> None:
        self.seen.append(snapshot)
        if not self.done and self.when(snapshot):
            self.done = True
            self.do()

    @property
    def phases(self) -> list[Phase]:
        """The phases in the order in which they were first seen."""
        return list(dict.fromkeys(snapshot.phase for snapshot in self.seen))


def pulled(mm: float) -> Callable[[Snapshot], bool]:
    """True once the stage has gone this far."""
    return lambda snapshot: snapshot.phase is Phase.PULLING and (snapshot.extension_mm or 0.0) >= mm
