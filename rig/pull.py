"""The parts of one pull on a rig: zero, begin, one turn of watching, end. `run` says in which order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from firmware_protocol.vocabulary import StopReason
from rig.errors import Overtaken, RecordingFailed, RigError
from rig.force_zero import ForceZero
from rig.limits import Trip
from rig.live import LiveFigures
from rig.outcome import AS_PLANNED, NOT_CONFIRMED, PullOutcome
from rig.plan import PullPlan, break_floor_counts
from rig.preparation import CLEARED_BY_ITSELF, Prepared
from rig.snapshot import Observer, Phase
from rig.stretcher import Stretcher
from rig.taking import Taking
from rig.watch import Watch

NOT_BACK = " Moving back was stopped by the person."
#: End reasons after which no more readings can come.
NOTHING_MORE = frozenset({"link_lost", "board_reset", "silence", "sensor_fault"})


class Pull:
    """One pull with its open recording; belongs to one thread."""

    def __init__(
        self,
        stretcher: Stretcher,
        plan: PullPlan,
        prepared: Prepared,
        observer: Observer,
        stopped: Callable[[], Trip | None],
    ) -> None:
        """`stopped` says whether somebody wants the pull to end."""
        self._stretcher = stretcher
        self._plan = plan
        self._order = prepared.order
        self._taking = Taking(stretcher, prepared.recorder, LiveFigures(prepared.scale), observer)
        self._stops = stretcher.stops_sent
        self._stopped = stopped
        self._watch: Watch | None = None

    def take_zero(self) -> ForceZero | Trip:
        """Take the force zero at rest; a Trip where it does not come to that."""
        return self._taking.take_zero(self._plan.zero_s, self._stopped)

    def begin(self, zero: ForceZero) -> None:
        """Set the zero, tell the board to pull, and watch from now on."""
        floor = self._set_zero(zero)
        order = self._order
        self._stretcher.start_pull(
            order.target_steps, order.speed_mm_min, order.force_limit_counts, round(floor), self._stops
        )
        self._watch = Watch(self._stretcher, self._taking.figures, self._order.limits)
        self._taking.enter(Phase.PULLING)

    def _set_zero(self, zero: ForceZero) -> float:
        """From now on forces count from the zero, here and on the board; the floor of a break [count]."""
        figures = self._taking.figures
        scale = replace(figures.scale, zero_counts=zero.counts)
        floor = break_floor_counts(scale, zero.sd_counts)
        figures.watch(scale, floor)
        self._stretcher.zero()
        self._taking.recorder.mark("started")
        return floor

    def turn(self) -> Trip | None:
        """Record, show and judge what has come; a Trip once the pull is over."""
        batches = self._taking.take()
        if self._watch is None:
            return None
        for batch in batches:
            self._watch.feed(batch)
        return self._stopped() or self._watch.judge()

    def end(self, trip: Trip) -> PullOutcome:
        """Stop the motor, take last readings, end the recording; move back where the plan says so."""
        recorder, confirmed = self._taking.recorder, False
        try:
            try:
                confirmed = self._stop_motor()
                self._last_words(trip, confirmed)
            finally:
                recorder.finish(trip.reason)
        except RecordingFailed as problem:
            trip = Trip("error", str(problem))
        message = trip.text + (self._tidy_up(trip) if confirmed else NOT_CONFIRMED)
        self._taking.finish(trip.reason, message)
        return PullOutcome(recorder.path, trip.reason, message, recorder.rows, recorder.lost, confirmed)

    def _stop_motor(self) -> bool:
        """Whether the board itself says that the motor stands."""
        try:
            self._stretcher.stop()
        except RigError:
            return False
        return True

    def _last_words(self, trip: Trip, confirmed: bool) -> None:
        recorder = self._taking.recorder
        if trip.reason == "break":
            recorder.mark("break_seen")
        recorder.mark("stopped", text=trip.text, reason=trip.reason, confirmed=confirmed)
        if confirmed and trip.reason not in NOTHING_MORE:
            self._taking.last_readings(self._plan.after_end_s)

    def _tidy_up(self, trip: Trip) -> str:
        """Leave the rig ready for the next pull; what did not work is said in words."""
        moving_back = False
        try:
            self._stretcher.stream(False)
            self._stretcher.status()
            if self._stretcher.latched in CLEARED_BY_ITSELF:
                self._stretcher.clear()
            stops = self._stretcher.stops_sent
            if self._plan.return_after and trip.reason in AS_PLANNED and not self._stopped():
                moving_back = True
                self._taking.enter(Phase.RETURNING)
                if self._stretcher.return_to(self._order.start_steps, stops=stops) is not StopReason.DONE:
                    return NOT_BACK
        except Overtaken:
            return NOT_BACK if moving_back else ""
        except RigError as problem:
            return f" {problem}"
        return ""
