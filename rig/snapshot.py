"""What whoever watches a pull is handed: frozen values, one after another, in order. Pure.

An observer is called in the thread that runs the pull and must come back at once: it keeps what it needs and
draws in its own time. Every batch of samples comes in exactly one snapshot, so an observer that keeps the
batches has the whole curve; one that draws only readouts may look at the newest snapshot alone.
"""

from __future__ import annotations

import enum
from collections.abc import Callable
from dataclasses import dataclass

from rig.inbox import LinkHealth
from rig.samples import SampleBatch
from rig.scale import Scale


class Phase(enum.Enum):
    """Where a pull stands; the value is how a person reads it."""

    STARTING = "getting ready"
    ZEROING = "taking the force zero: do not touch the rig"
    TIGHTENING = "taking up the slack: keep fingers away"
    PULLING = "pulling: keep fingers away"
    HOLDING = "holding the strand stretched: do not touch the rig"
    LETTING_BACK = "letting the strand back: keep fingers away"
    RESTING = "letting the strand rest: do not touch the rig"
    BY_HAND = "recording: you move the stage"
    FINISHING = "stopped, last readings"
    RETURNING = "moving back: keep fingers away"
    ENDED = "ended, the motor stands"


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A pull as it stands now. Quantities that can't be had are None."""

    phase: Phase
    scale: Scale
    health: LinkHealth
    #: Samples that no earlier snapshot had; None where only the phase changed.
    batch: SampleBatch | None = None
    #: Board time since the first sample of the recording [s].
    t_s: float | None = None
    counts: int | None = None
    steps: int | None = None
    force_n: float | None = None
    peak_force_n: float | None = None
    extension_mm: float | None = None
    strain_pct: float | None = None
    flags: int = 0
    moving: bool = False
    #: Rows recorded so far, and readings lost between them.
    rows: int = 0
    lost: int = 0
    #: Lines or frames that could not be read, newest last, for a person to look at; cut and cleaned.
    unread: tuple[str, ...] = ()
    #: Why the pull ended (an end reason of the recording) and the sentence for it, once it has.
    end_reason: str = ""
    message: str = ""


Observer = Callable[[Snapshot], None]


def nobody(snapshot: Snapshot) -> None:
    """An observer that looks at nothing."""
