"""The level of the force readings at rest: what a calibration and the daily check are made of.

Waits until the readings have settled (a weight that swings, an amplifier that is late), then averages them.
Knows counts and board time, no forces.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Protocol

from firmware_protocol.vocabulary import Flag
from rig.clock import Clock
from rig.connected_rig import ConnectedRig
from rig.errors import NoReadings, RigError
from rig.force_zero import FEWEST_READINGS, force_zero
from rig.limits import SILENCE_S
from rig.samples import SampleBatch
from rig.taking import TAKE_S

#: Board time that readings are taken over unless told otherwise [s].
LEVEL_S = 3.0
#: Readings of the first moment are left out: a filter still holds what was before [s of board time].
SETTLE_S = 0.5
#: Readings are taken anew so many times at most until they stand still.
MOST_TRIES = 5
#: The two halves of a level that differ by more than this many standard uncertainties are still moving ...
MOVING_U = 5.0
#: ... unless they differ by less than this: a step of a coarse amplifier [count].
STILL_COUNTS = 2.0
#: Median of the squared difference of two readings over the variance of one, for normal noise: 2 times 0.455.
JUMP_MEDIAN = 0.91
OVERLOADED = (
    "The force amplifier is at the end of its range: hang a lighter weight, or take the load off and check the "
    "wiring of the load cell."
)
SILENT = "The rig sends no readings: check the wiring of the load cell and its amplifier."


@dataclass(frozen=True, slots=True)
class Level:
    """Mean of `n` readings at rest and their standard deviation [count]; wild ones were left out.

    `settled` is False where the readings were still moving in the last of the tries.
    """

    counts: float
    sd_counts: float
    n: int
    left_out: int
    settled: bool


class Readings(Protocol):
    """A source of samples, as far as a level needs it."""

    @property
    def clock(self) -> Clock:
        """The time this source lives by."""

    @property
    def link_cause(self) -> RigError | None:
        """Why nothing more will come; None while the link lives."""

    def take(self, timeout_s: float) -> tuple[SampleBatch, ...]:
        """What has come, waiting up to `timeout_s` for the first."""


def take_level(rig: ConnectedRig, seconds: float = LEVEL_S) -> Level:
    """The level of a rig now. Raises NoReadings, or the cause where the link ends."""
    rig.stream(True)
    try:
        return settled_level(rig, seconds)
    finally:
        if rig.link_cause is None:
            rig.stream(False)


def settled_level(source: Readings, seconds: float) -> Level:
    """Take readings until they stand still, or for the last time anyway."""
    window = _Window(source)
    window.take(SETTLE_S)
    for _ in range(MOST_TRIES):
        level = _level(window.take(seconds))
        if level.settled:
            break
    return level


class _Window:
    """Readings of one stretch of board time after another."""

    def __init__(self, source: Readings) -> None:
        self._source = source

    def take(self, seconds: float) -> list[int]:
        """The counts of so many seconds from now on. Raises NoReadings where none come or most are at the end."""
        counts, saturated, first_us, last_us = list[int](), 0, None, 0
        while first_us is None or last_us - first_us < seconds * 1e6 or len(counts) < FEWEST_READINGS:
            for batch in self._next():
                first_us = batch.t_us[0] if first_us is None else first_us
                last_us = batch.t_us[-1]
                counts.extend(batch.counts)
                saturated += sum(1 for flags in batch.flags if flags & Flag.SATURATED)
        if saturated > len(counts) // 2:
            raise NoReadings(OVERLOADED)
        return counts

    def _next(self) -> tuple[SampleBatch, ...]:
        clock, source = self._source.clock, self._source
        deadline_s = clock.now_s() + SILENCE_S
        while clock.now_s() < deadline_s:
            if batches := source.take(TAKE_S):
                return batches
            if source.link_cause:
                raise source.link_cause
        raise NoReadings(SILENT)


def _level(counts: list[int]) -> Level:
    """Mean and scatter; still moving where the halves differ by more than the noise from reading to reading."""
    zero = force_zero(counts)
    jumps = [(b - a) ** 2 for a, b in itertools.pairwise(counts)]
    noise = math.sqrt(sorted(jumps)[len(jumps) // 2] / JUMP_MEDIAN)
    u_moved = noise * 2.0 / math.sqrt(len(counts))
    settled = _moved(counts) <= max(MOVING_U * u_moved, STILL_COUNTS)
    return Level(zero.counts, zero.sd_counts, zero.n, zero.left_out, settled)


def _moved(counts: list[int]) -> float:
    """How far the level is from the first half to the second [count]; too few readings can't show it."""
    half = len(counts) // 2
    if half < FEWEST_READINGS:
        return 0.0
    return abs(force_zero(counts[:half]).counts - force_zero(counts[half:]).counts)
