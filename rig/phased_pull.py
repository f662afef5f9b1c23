"""A pull of several phases: tightened, stretched, held, let back, at rest, stretched again. `phases` has the table.

Owns how one phase follows on another. Zero, stop rules, the end and the recording are those of every pull (`pull`):
whatever ends a phase otherwise than planned ends the pull, and the motor is stopped first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from firmware_protocol.vocabulary import LATCHING, StopReason
from rig.break_detector import FALL_TO, SUDDEN_READINGS
from rig.force_zero import ForceZero
from rig.limits import HOST_MARGIN, TIME_MARGIN_S, Limits, Trip
from rig.outcome import SENTENCES
from rig.phases import (
    FASTER_BACK,
    HOLD,
    LET_GO,
    REST,
    RETURN,
    SEQUENCES,
    STRETCH,
    STRETCH_AGAIN,
    TIGHTEN,
    PhaseRule,
    Ways,
    back_speed,
)
from rig.plan import BREAK_FLOOR_SD, PullPlan
from rig.preparation import Prepared
from rig.pull import Pull
from rig.scale import Scale, counts_of_force
from rig.snapshot import Observer
from rig.stretcher import Stretcher
from rig.watch import Watch

NOT_TAUT = (
    "The strand did not become taut within {slack:.1f} mm: check that it is held in both clamps, and mount it with "
    "less slack."
)


class PhasedPull(Pull):
    """One pull of several phases with its open recording; belongs to one thread."""

    def __init__(
        self,
        stretcher: Stretcher,
        plan: PullPlan,
        prepared: Prepared,
        observer: Observer,
        stopped: Callable[[], Trip | None],
    ) -> None:
        super().__init__(stretcher, plan, prepared, observer, stopped)
        assert self._order.ways is not None
        self._ways: Ways = self._order.ways
        self._coming: Iterator[PhaseRule] = iter(SEQUENCES[self._order.method.kind])
        self._rule = TIGHTEN
        self._floor = 0.0
        self._fastest_counts = 0.0
        self._pretension_counts = 0.0
        self._taut_mm = 0.0

    def begin(self, zero: ForceZero) -> None:
        """Set the zero and begin the first phase."""
        self._floor = self._set_zero(zero)
        calibration = self._scale.force
        assert calibration is not None  # else there is no force limit, and no order
        pretension = counts_of_force(calibration, self._order.method.pretension_n or 0.0)
        self._pretension_counts = max(pretension, BREAK_FLOOR_SD * zero.sd_counts)
        self._begin_next()

    def turn(self) -> Trip | None:
        """Record, show and judge what has come; where a phase has ended as planned, begin the next."""
        trip = super().turn()
        if trip is None:
            return self._begin_next() if self._time_is_up() else None
        return self._begin_next() if self._as_planned(trip) else self._told(trip)

    @property
    def _scale(self) -> Scale:
        return self._taking.figures.scale

    def _time_is_up(self) -> bool:
        return (
            self._watch is not None and not self._rule.moves and self._watch.elapsed_s >= self._seconds(self._rule)
        )

    def _as_planned(self, trip: Trip) -> bool:
        """Whether the board itself ended the phase, in the way that the table names."""
        rig = self._stretcher
        told_by_board = trip.reason in ("travel_limit", "force_limit") and not rig.moving
        return told_by_board and rig.latched is self._rule.ends_with and self._stopped() is None

    def _told(self, trip: Trip) -> Trip:
        if self._rule is TIGHTEN and trip.reason == "travel_limit" and self._stretcher.latched is StopReason.DONE:
            return Trip("error", NOT_TAUT.format(slack=self._ways.slack_mm))
        return trip

    def _begin_next(self) -> Trip | None:
        """Begin the next phase; a Trip where there is none, or where somebody wants the pull to end."""
        if self._watch is not None:
            self._settle()
        rule = next(self._coming, None)
        if rule is None:
            return Trip("done", SENTENCES["done"])
        self._rule = rule
        self._taking.recorder.mark("phase", name=rule.name)
        figures = self._taking.figures
        if rule.falls:
            figures.watch(self._scale, self._sudden_floor(rule), SUDDEN_READINGS)
        else:
            figures.watch(self._scale, self._floor)
        if rule.moves:
            self._set_off(rule)
        self._watch = Watch(self._stretcher, self._taking.figures, self._limits(rule), moves=rule.moves)
        self._taking.enter(rule.shown)
        return None

    def _settle(self) -> None:
        """Record the last readings of a phase, so that none of them is taken for one of the next."""
        if self._stretcher.latched in LATCHING:
            self._stretcher.clear()
        steps = self._stretcher.status().steps
        detector = self._taking.figures.detector
        if detector is not None and not self._rule.falls:
            self._fastest_counts = max(self._fastest_counts, detector.fastest_rise_counts)
        if self._rule is TIGHTEN:
            self._taut_mm = self._scale.extension_mm(steps) or 0.0
        self._taking.take()

    def _sudden_floor(self, rule: PhaseRule) -> float:
        """Below this force [count] a strand that is let back may lose half of it in the time of a break."""
        if not rule.moves:
            return self._floor
        slower = self._speed(rule) / self._order.speed_mm_min
        return max(self._floor, FASTER_BACK * slower * self._fastest_counts / (1.0 - FALL_TO))

    def _set_off(self, rule: PhaseRule) -> None:
        order, target = self._order, self._target_steps(rule)
        speed = self._speed(rule)
        if rule.falls:
            self._stretcher.start_move(target, speed, order.force_limit_counts, self._stops)
            return
        limit = round(self._pretension_counts) if rule is TIGHTEN else order.force_limit_counts
        self._stretcher.start_pull(target, speed, limit, round(self._floor), self._stops)

    def _target_steps(self, rule: PhaseRule) -> int:
        ways = self._ways
        to_mm = {
            TIGHTEN: ways.slack_mm,
            STRETCH: ways.stretched_mm(self._taut_mm),
            STRETCH_AGAIN: ways.again_mm(self._taut_mm),
            RETURN: 0.0,
            LET_GO: 0.0,
        }[rule]
        return self._order.start_steps + self._steps(to_mm)

    def _steps(self, mm: float) -> int:
        calibration = self._scale.extension
        assert calibration is not None  # else there are no ways
        return round(mm / calibration.mm_per_step)

    def _speed(self, rule: PhaseRule) -> float:
        speed, gauge = self._order.speed_mm_min, self._ways.gauge_mm
        return back_speed(speed, gauge, self._stretcher.facts.rate_hz) if rule.falls else speed

    def _seconds(self, rule: PhaseRule) -> float:
        """How long a phase takes by the plan [s]."""
        if not rule.moves:
            return {HOLD: self._order.method.hold_s, REST: self._order.method.rest_s}[rule] or 0.0
        return (self._order.limits.travel_mm or 0.0) / self._speed(rule) * 60.0

    def _limits(self, rule: PhaseRule) -> Limits:
        """The limits of the whole pull, with the time of this phase."""
        return replace(self._order.limits, duration_s=HOST_MARGIN * self._seconds(rule) + TIME_MARGIN_S)
