"""What the reader has brought in and nobody has taken out yet: batches, bounded, with every loss counted.

Filled by the reader thread, emptied by the thread that runs a pull. Never blocks the reader: when it is full
the oldest batches go, and are counted as lost. Knows neither frames nor lines.
"""

from __future__ import annotations

import threading
from collections import deque
from dataclasses import dataclass, replace

from rig.clock import Clock
from rig.errors import RigError
from rig.samples import SampleBatch

#: So many samples wait at most: two minutes at 1000 samples a second.
CAPACITY = 120_000


@dataclass(frozen=True, slots=True)
class LinkHealth:
    """How well the link does, counted since it was opened (lost samples and gaps: since they were last reset)."""

    bytes_read: int = 0
    samples: int = 0
    lost_samples: int = 0
    gaps: int = 0
    #: Frames or lines that could not be read.
    bad: int = 0
    #: Sound frames that this program does not know.
    unknown: int = 0
    #: Reads that came so late that the computer must have been busy.
    late_reads: int = 0
    #: Samples this program received and had no room for: part of `lost_samples`.
    overrun: int = 0


class Inbox:
    """A bounded queue of sample batches, and the cause why no more will come."""

    def __init__(self, clock: Clock, capacity: int = CAPACITY) -> None:
        self.changed = threading.Condition()
        self._clock = clock
        self._capacity = capacity
        self._batches: deque[SampleBatch] = deque()
        self._waiting = 0
        self._woken = False
        self._overrun_before_next = 0
        self._cause: RigError | None = None
        self._health = LinkHealth()
        self._newest: SampleBatch | None = None

    @property
    def health(self) -> LinkHealth:
        """The counters now."""
        with self.changed:
            return self._health

    @property
    def cause(self) -> RigError | None:
        """Why nothing more will come; None while the link lives."""
        with self.changed:
            return self._cause

    @property
    def newest(self) -> SampleBatch | None:
        """The batch that came last, taken out or not."""
        with self.changed:
            return self._newest

    def put(self, batch: SampleBatch) -> None:
        """Add a batch; makes room by dropping the oldest."""
        with self.changed:
            self._batches.append(batch)
            self._waiting += len(batch)
            self._newest = batch
            self._count(len(batch), batch.lost)
            while self._waiting > self._capacity and len(self._batches) > 1:
                self._drop_oldest()
            self.changed.notify_all()

    def end(self, cause: RigError) -> None:
        """Say why nothing more will come; the first cause stands."""
        with self.changed:
            self._cause = self._cause or cause
            self.changed.notify_all()

    def wake(self) -> None:
        """End the wait of whoever takes, though nothing came."""
        with self.changed:
            self._woken = True
            self.changed.notify_all()

    def take(self, timeout_s: float) -> tuple[SampleBatch, ...]:
        """All that waits, in order; waits up to `timeout_s` for the first. Empty where nothing came."""
        deadline = self._clock.now_s() + timeout_s
        with self.changed:
            while not (self._batches or self._woken or self._cause):
                left = deadline - self._clock.now_s()
                if left <= 0:
                    break
                self._clock.wait(self.changed, left)
            self._woken = False
            taken = tuple(self._batches)
            self._batches.clear()
            self._waiting = 0
            return self._with_overrun(taken)

    def clear(self) -> None:
        """Forget what waits and begin counting losses anew."""
        with self.changed:
            self._batches.clear()
            self._waiting = 0
            self._overrun_before_next = 0
            self._health = replace(self._health, lost_samples=0, gaps=0, overrun=0)

    def set_counters(self, *, bytes_read: int, bad: int, unknown: int, late_reads: int) -> None:
        """Take over the counters that the decoder and the reader keep."""
        with self.changed:
            self._health = replace(
                self._health, bytes_read=bytes_read, bad=bad, unknown=unknown, late_reads=late_reads
            )

    def _count(self, samples: int, lost: int, overrun: int = 0) -> None:
        h = self._health
        self._health = replace(
            h,
            samples=h.samples + samples,
            lost_samples=h.lost_samples + lost + overrun,
            gaps=h.gaps + (1 if lost else 0),
            overrun=h.overrun + overrun,
        )

    def _drop_oldest(self) -> None:
        oldest = self._batches.popleft()
        self._waiting -= len(oldest)
        self._overrun_before_next += len(oldest) + oldest.lost
        self._count(0, 0, overrun=len(oldest))

    def _with_overrun(self, taken: tuple[SampleBatch, ...]) -> tuple[SampleBatch, ...]:
        if not self._overrun_before_next or not taken:
            return taken
        first = replace(taken[0], lost=taken[0].lost + self._overrun_before_next)
        self._overrun_before_next = 0
        return (first, *taken[1:])
