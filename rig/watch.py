"""Judges a running pull: what the board says of itself first, then the host's own rules.

Fed with batches that are already recorded; gives a Trip once the pull is over. Asks the board where samples stay
away. Knows no files.
"""

from __future__ import annotations

from firmware_protocol.vocabulary import LATCHING, Flag, StopReason, stop_reason
from rig.errors import NoAnswer
from rig.limits import Limits, Trip, View, check
from rig.live import LiveFigures
from rig.outcome import SENTENCES, trip_of_board
from rig.samples import SampleBatch
from rig.stretcher import Stretcher

#: Without a sample for this long the board is asked how it is [s]: slow amplifiers give 5 readings a second.
ASK_AFTER_S = 0.7
#: An amplifier of so many bits shows its own noise: exact repeats are a fault. A coarse one may well repeat.
FINE_BITS = 20
#: A motor that was told to run must be seen running within this time [s].
BEGIN_S = 1.0


class Watch:
    """One pull (or phase of one) under watch, from the moment the motor was told to run, or to stand."""

    def __init__(self, stretcher: Stretcher, figures: LiveFigures, limits: Limits, *, moves: bool = True) -> None:
        self._stretcher = stretcher
        self._figures = figures
        self._limits = limits
        self._moves = moves
        self._restarts = stretcher.restarts
        self._began_s = self._last_sample_s = self._last_asked_s = stretcher.clock.now_s()
        self._first_t_us: int | None = None
        self._t_us = 0
        self._samples = 0
        self._lost = 0
        self._seen_moving = False
        self._fine = stretcher.facts.sensor_bits >= FINE_BITS

    def feed(self, batch: SampleBatch) -> None:
        """Take the next recorded batch."""
        self._last_sample_s = self._stretcher.clock.now_s()
        if self._first_t_us is None:
            self._first_t_us = batch.t_us[0]
        self._t_us = batch.t_us[-1]
        self._samples += len(batch)
        self._lost += batch.lost
        self._seen_moving = self._seen_moving or any(flags & Flag.MOVING for flags in batch.flags)

    @property
    def elapsed_s(self) -> float:
        """Board time since the first reading under watch [s]."""
        return 0.0 if self._first_t_us is None else (self._t_us - self._first_t_us) / 1e6

    def judge(self) -> Trip | None:
        """Why the pull is over; None while it goes on. Raises the cause where the link is gone."""
        if self._stretcher.restarts != self._restarts:
            return Trip("board_reset", SENTENCES["board_reset"])
        if self._stretcher.link_cause:
            raise self._stretcher.link_cause
        return self._ask_if_quiet() or self._told_by_board() or self._own_judgement()

    def _told_by_board(self) -> Trip | None:
        flags = self._stretcher.flags
        reason = stop_reason(flags)
        if flags & Flag.MOVING:
            return None
        if reason in LATCHING or (self._moves and self._seen_moving and reason is not StopReason.NONE):
            return trip_of_board(reason)
        return None

    def _own_judgement(self) -> Trip | None:
        if self._figures.break_seen:
            return Trip("break", SENTENCES["break"])
        if self._seen_moving and not self._moves:
            return Trip("error", "The motor ran though it was told to stand: check the board before the next pull.")
        return check(self._view(), self._limits)

    def _view(self) -> View:
        now_s = self._stretcher.clock.now_s()
        return View(
            force_n=self._figures.median_force_n,
            extension_mm=self._figures.extension_mm,
            elapsed_s=self.elapsed_s,
            silent_s=now_s - self._last_sample_s,
            samples=self._samples,
            lost=self._lost,
            flags=self._stretcher.flags,
            frozen_s=self._figures.same_s if self._fine else 0.0,
            frozen_readings=self._figures.same_readings,
        )

    def _ask_if_quiet(self) -> Trip | None:
        """A board that sends no samples can still say why; one that stands though told to run, too."""
        now_s = self._stretcher.clock.now_s()
        silent_s = now_s - self._last_sample_s
        idle = self._moves and not self._seen_moving and now_s - self._began_s > BEGIN_S
        if not (silent_s > ASK_AFTER_S or idle) or now_s - self._last_asked_s < ASK_AFTER_S:
            return None
        self._last_asked_s = now_s
        try:
            self._stretcher.status()
        except NoAnswer:
            if silent_s > ASK_AFTER_S:
                return Trip("silence", "The rig sends no readings and answers nothing: check its cable and power.")
        self._seen_moving = self._seen_moving or idle
        return None
