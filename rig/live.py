"""The running figures of a pull: what the stop rules look at and what a person is shown. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from rig.break_detector import BreakDetector
from rig.samples import SampleBatch
from rig.scale import Scale


@dataclass(slots=True)
class LiveFigures:
    """Fed with every batch that is recorded. Peak and break are looked for once `watch` was called."""

    scale: Scale
    counts: int | None = None
    steps: int | None = None
    flags: int = 0
    peak_force_n: float | None = None
    detector: BreakDetector | None = None
    #: How often the newest reading has been repeated, and since when [us].
    same_readings: int = 0
    same_since_us: int = 0
    t_us: int = 0
    _last_three: list[int] = field(default_factory=list)

    def watch(self, scale: Scale, floor_counts: float, within: int | None = None) -> None:
        """The zero is known: from now on look for the peak and the break, which may take `within` readings."""
        self.scale = scale
        self.detector = BreakDetector(scale.zero_counts, floor_counts, within)
        self._last_three.clear()

    def feed(self, batch: SampleBatch) -> None:
        """Take the next batch."""
        self._look_for_repeats(batch)
        self.counts, self.steps, self.flags = batch.counts[-1], batch.steps[-1], batch.flags[-1]
        self._last_three = [*self._last_three, *batch.counts[-3:]][-3:]
        if self.detector is None:
            return
        for counts in batch.counts:
            self.detector.feed(counts)
        if self.scale.force:
            towards = math.copysign(self.detector.peak_counts, self.scale.force.n_per_count)
            self.peak_force_n = self.scale.force_n(self.scale.zero_counts + towards)

    @property
    def same_s(self) -> float:
        """How long the newest reading has been repeated [s]."""
        return (self.t_us - self.same_since_us) / 1e6

    def _look_for_repeats(self, batch: SampleBatch) -> None:
        last = self.counts
        for t_us, counts in zip(batch.t_us, batch.counts, strict=True):
            if counts != last:
                self.same_readings, self.same_since_us, last = 0, t_us, counts
            self.same_readings += 1
        self.t_us = batch.t_us[-1]

    @property
    def break_seen(self) -> bool:
        """Whether the strand is known to have broken."""
        return self.detector is not None and self.detector.seen

    @property
    def force_n(self) -> float | None:
        """Force of the newest reading [N]."""
        return None if self.counts is None else self.scale.force_n(self.counts)

    @property
    def median_force_n(self) -> float | None:
        """Force without single wild readings: the median of the last three [N]; None before there are three."""
        if len(self._last_three) < 3:
            return None
        return self.scale.force_n(sorted(self._last_three)[1])

    @property
    def extension_mm(self) -> float | None:
        """Motion of the stage since the start [mm]."""
        return None if self.steps is None else self.scale.extension_mm(self.steps)

    @property
    def strain_pct(self) -> float | None:
        """Motion of the stage over the gauge length [%]."""
        return None if self.steps is None else self.scale.strain_pct(self.steps)
