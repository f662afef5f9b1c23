"""Who mounts the next strand, and when: what the person at a real rig would do.

    before a test   whenever the stage stands still, a fresh strand is mounted at the gauge length, wherever that
                    is; while the stage moves the clamps are empty
    Zero or Pull    begins the test: from then on the strand stays where it was mounted
    Home            takes the strand out: nobody homes a stage with one in
    after a test    a spoiled strand (broken, slipped, or stretched beyond 30 %, where keratin no longer recovers)
                    is replaced by the next of the same head at the next Move that comes to rest, or by the next
                    Zero or Pull; one that was stretched less stays in, so that it can be pulled again

Knows no board and no amplifier.
"""

from __future__ import annotations

import math
from random import Random

from rig.simulated.draw import draw
from rig.simulated.hook import Hook
from rig.simulated.settings import SimulationSettings
from rig.simulated.specimen import PullTruth, Specimen
from rig.simulated.strand import Strand


class Clamps:
    """The clamps and what they hold. Positions are of the stage, from the near limit switch [mm]."""

    def __init__(self, settings: SimulationSettings, stage_mm: float) -> None:
        self.finished: list[PullTruth] = []
        self.hook = Hook(settings.hang_g)
        self._settings = settings
        self._number = 0
        self._testing = False
        self._empty = False
        self._taken_out = False
        self.specimen = self._next(stage_mm)

    def set_off(self, homing: bool) -> None:
        """The stage begins a Move, or goes home."""
        if homing:
            self._taken_out = self.specimen.touched
            self._testing = False
        self._empty = not self._testing

    def come_to_rest(self, stage_mm: float) -> None:
        """The stage stands still after a Move or Home: a fresh strand is mounted where one is due."""
        if self._used_up or not self._testing:
            self._mount(stage_mm)

    def begin_test(self, stage_mm: float) -> None:
        """Zero or Pull: what is in the clamps now is what will be measured."""
        if self._used_up or not self.specimen.touched:
            self._mount(stage_mm)
        self._testing = True

    def hold(self, stage_mm: float, dt_s: float) -> float:
        """Take the stage to a position within `dt_s`; the force on the cell [N]."""
        return self.hook.force_n + (0.0 if self._empty else self.specimen.hold(stage_mm, dt_s))

    @property
    def break_mm(self) -> float:
        """Position of the stage at which something in the clamps breaks; infinite where nothing can."""
        return math.inf if self._empty else self.specimen.break_mm

    @property
    def _used_up(self) -> bool:
        return self._taken_out or self.specimen.spoiled

    def _mount(self, stage_mm: float) -> None:
        if self._used_up:
            self.finished.append(self.specimen.truth)
            self._number += 1
        self._testing = self._empty = self._taken_out = False
        self.specimen = self._next(stage_mm)

    def _next(self, stage_mm: float) -> Specimen:
        seed, number = self._settings.seed, self._number
        parts = [
            Strand(truth, Random(f"{seed}/slip/{number}/{place}"))
            for place, truth in enumerate(draw(self._settings, number))
        ]
        return Specimen(parts, stage_mm)
