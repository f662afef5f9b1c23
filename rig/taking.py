"""Samples from a source into the recording, the running figures and the observer, in this order.

What a pull on a rig and one on a board that prints lines have in common. Belongs to one thread.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from firmware_protocol.vocabulary import Flag
from rig.clock import Clock
from rig.errors import RigError
from rig.force_zero import FEWEST_READINGS, ForceZero, force_zero
from rig.inbox import LinkHealth
from rig.limits import SILENCE_S, Trip
from rig.live import LiveFigures
from rig.recorder import Recorder
from rig.samples import SampleBatch, joined
from rig.snapshot import Observer, Phase, Snapshot

#: How long one wait for samples is at most [s]: also how late a stop request is seen at the latest.
TAKE_S = 0.1
#: Last readings are waited for so much longer than they should take [s of wall time].
LAST_READINGS_MARGIN_S = 0.5


OVERLOADED = (
    "The force amplifier is at the end of its range with nothing pulling: take the load off the cell, and check "
    "its wiring."
)


class Source(Protocol):
    """Where samples come from."""

    @property
    def clock(self) -> Clock:
        """The time this source lives by."""

    @property
    def health(self) -> LinkHealth:
        """How well the link does."""

    @property
    def link_cause(self) -> RigError | None:
        """Why nothing more will come; None while the link lives."""

    @property
    def moving(self) -> bool:
        """Whether a motor ran when it was last heard."""

    @property
    def unread(self) -> tuple[str, ...]:
        """What came and could not be read, for a person to look at."""

    def take(self, timeout_s: float) -> tuple[SampleBatch, ...]:
        """What has come, waiting up to `timeout_s` for the first."""


class Taking:
    """One recording being filled from one source."""

    def __init__(self, source: Source, recorder: Recorder, figures: LiveFigures, observer: Observer) -> None:
        self.recorder = recorder
        self.figures = figures
        self._source = source
        self._observer = observer
        self._phase = Phase.STARTING

    def take(self) -> tuple[SampleBatch, ...]:
        """Wait for samples; record them first, show them then."""
        batches = joined(self._source.take(TAKE_S))
        for batch in batches:
            self.add(batch)
        return batches

    def add(self, batch: SampleBatch) -> None:
        """Record and show a batch that was taken elsewhere."""
        self.recorder.add(batch)
        self.figures.feed(batch)
        self._show(batch)

    def enter(self, phase: Phase) -> None:
        """A new phase begins: show it."""
        self._phase = phase
        self._show(None)

    def finish(self, reason: str, message: str) -> None:
        """Nothing more will come: show how it ended."""
        self._phase = Phase.ENDED
        self._show(None, reason, message)

    def take_zero(self, duration_s: float, stopped: Callable[[], Trip | None]) -> ForceZero | Trip:
        """Record readings at rest and take the force zero from them; a Trip where it does not come to that."""
        self.enter(Phase.ZEROING)
        clock, readings, saturated = self._source.clock, list[int](), 0
        last_s = clock.now_s()
        while self.recorded_s < duration_s or len(readings) < FEWEST_READINGS:
            if trip := stopped():
                return trip
            if self._source.link_cause:
                raise self._source.link_cause
            batches = self.take()
            readings.extend(counts for batch in batches for counts in batch.counts)
            saturated += sum(1 for batch in batches for flags in batch.flags if flags & Flag.SATURATED)
            if batches:
                last_s = clock.now_s()
            elif clock.now_s() - last_s > SILENCE_S:
                return Trip("silence", "The rig sends no readings: check the wiring of the load cell.")
        if saturated > len(readings) // 2:
            return Trip("error", OVERLOADED)
        zero = force_zero(readings)
        self.recorder.mark("zeroed", counts=zero.counts, n=zero.n, sd_counts=zero.sd_counts)
        return zero

    def last_readings(self, duration_s: float) -> None:
        """Record on for a moment: the level after a break is the check on the force zero."""
        self.enter(Phase.FINISHING)
        clock, end_s = self._source.clock, self.recorded_s + duration_s
        deadline_s = clock.now_s() + duration_s + LAST_READINGS_MARGIN_S
        while self.recorded_s < end_s and clock.now_s() < deadline_s:
            if not self.take() and self._source.link_cause:
                break

    @property
    def recorded_s(self) -> float:
        """How much board time is recorded [s]."""
        return self.recorder.t_s or 0.0

    def _show(self, batch: SampleBatch | None, end_reason: str = "", message: str = "") -> None:
        figures, recorder = self.figures, self.recorder
        self._observer(
            Snapshot(
                phase=self._phase,
                scale=figures.scale,
                health=self._source.health,
                batch=batch,
                t_s=recorder.t_s,
                counts=figures.counts,
                steps=figures.steps,
                force_n=figures.force_n,
                peak_force_n=figures.peak_force_n,
                extension_mm=figures.extension_mm,
                strain_pct=figures.strain_pct,
                flags=figures.flags,
                moving=self._source.moving,
                rows=recorder.rows,
                lost=recorder.lost,
                unread=self._source.unread,
                end_reason=end_reason,
                message=message,
            )
        )
