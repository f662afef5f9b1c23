"""The parts of one pull: zero, begin, one turn of watching, end. `run` says in which order, and when to stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from rig.errors import RecordingFailed, RigError
from rig.force_zero import FEWEST_READINGS, ForceZero, force_zero
from rig.limits import SILENCE_S, Trip
from rig.live import LiveFigures
from rig.outcome import AS_PLANNED, NOT_CONFIRMED, PullOutcome
from rig.plan import PullPlan, break_floor_counts
from rig.preparation import CLEARED_BY_ITSELF, Prepared
from rig.samples import SampleBatch, joined
from rig.snapshot import Observer, Phase
from rig.stretcher import Stretcher
from rig.watch import Watch

#: How long one wait for samples is at most [s]: also how late a stop request is seen at the latest.
TAKE_S = 0.1
#: Last readings are waited for so much longer than they should take [s of wall time].
LAST_READINGS_MARGIN_S = 0.5
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
        self._stopped = stopped
        self._plan = plan
        self._order = prepared.order
        self._recorder = prepared.recorder
        self._observer = observer
        self._figures = LiveFigures(prepared.scale)
        self._watch: Watch | None = None
        self._phase = Phase.STARTING

    def take_zero(self) -> ForceZero | Trip:
        """Record readings at rest and take the force zero from them; a Trip where it does not come to that."""
        self._show_phase(Phase.ZEROING)
        readings: list[int] = []
        last_s = self._stretcher.clock.now_s()
        while (self._recorder.t_s or 0.0) < self._plan.zero_s or len(readings) < FEWEST_READINGS:
            if trip := self._stopped():
                return trip
            if self._stretcher.link_cause:
                raise self._stretcher.link_cause
            batches = self._take()
            readings.extend(counts for batch in batches for counts in batch.counts)
            now_s = self._stretcher.clock.now_s()
            if batches:
                last_s = now_s
            elif now_s - last_s > SILENCE_S:
                return Trip("silence", "The rig sends no readings: check the wiring of the load cell.")
        zero = force_zero(readings)
        self._recorder.mark("zeroed", counts=zero.counts, n=zero.n, sd_counts=zero.sd_counts)
        return zero

    def begin(self, zero: ForceZero) -> None:
        """Set the zero, tell the board to pull, and watch from now on."""
        scale = replace(self._figures.scale, zero_counts=zero.counts)
        floor = break_floor_counts(scale, zero.sd_counts)
        self._figures.watch(scale, floor)
        self._stretcher.zero()
        self._recorder.mark("started")
        self._stretcher.start_pull(
            self._order.target_steps, self._order.speed_mm_min, self._order.force_limit_counts, round(floor)
        )
        self._watch = Watch(self._stretcher, self._figures, self._order.limits)
        self._show_phase(Phase.PULLING)

    def turn(self) -> Trip | None:
        """Record, show and judge what has come; a Trip once the pull is over."""
        self._take()
        return self._stopped() or (self._watch.judge() if self._watch else None)

    def end(self, trip: Trip) -> PullOutcome:
        """Stop the motor, take last readings, end the recording; move back where the plan says so."""
        confirmed = False
        try:
            try:
                confirmed = self._stop_motor()
                self._last_words(trip, confirmed)
            finally:
                self._recorder.finish(trip.reason)
        except RecordingFailed as problem:
            trip = Trip("error", str(problem))
        message = trip.text + (self._tidy_up(trip) if confirmed else NOT_CONFIRMED)
        self._phase = Phase.ENDED
        self._show(None, trip.reason, message)
        rows, lost = self._recorder.rows, self._recorder.lost
        return PullOutcome(self._recorder.path, trip.reason, message, rows, lost, confirmed)

    def _stop_motor(self) -> bool:
        """Whether the board itself says that the motor stands."""
        try:
            self._stretcher.stop()
        except RigError:
            return False
        return True

    def _last_words(self, trip: Trip, confirmed: bool) -> None:
        if trip.reason == "break":
            self._recorder.mark("break_seen")
        self._recorder.mark("stopped", text=trip.text, reason=trip.reason, confirmed=confirmed)
        if confirmed and trip.reason not in NOTHING_MORE:
            self._show_phase(Phase.FINISHING)
            self._last_readings()

    def _last_readings(self) -> None:
        """Record on for a moment: the level after a break is the check on the force zero."""
        clock, wanted_s = self._stretcher.clock, self._plan.after_end_s
        end_s = (self._recorder.t_s or 0.0) + wanted_s
        deadline_s = clock.now_s() + wanted_s + LAST_READINGS_MARGIN_S
        while (self._recorder.t_s or 0.0) < end_s and clock.now_s() < deadline_s:
            if not self._take() and self._stretcher.link_cause:
                break

    def _tidy_up(self, trip: Trip) -> str:
        """Leave the rig ready for the next pull; what did not work is said in words."""
        try:
            self._stretcher.stream(False)
            self._stretcher.status()
            if self._stretcher.latched in CLEARED_BY_ITSELF:
                self._stretcher.clear()
            if self._plan.return_after and trip.reason in AS_PLANNED and not self._stopped():
                self._show_phase(Phase.RETURNING)
                self._stretcher.return_to(self._order.start_steps)
        except RigError as problem:
            return f" {problem}"
        return ""

    def _take(self) -> tuple[SampleBatch, ...]:
        """Wait for samples; record them first, show them then."""
        batches = joined(self._stretcher.take(TAKE_S))
        for batch in batches:
            self._recorder.add(batch)
            self._figures.feed(batch)
            if self._watch:
                self._watch.feed(batch)
            self._show(batch)
        return batches

    def _show_phase(self, phase: Phase) -> None:
        self._phase = phase
        self._show(None)

    def _show(self, batch: SampleBatch | None, end_reason: str = "", message: str = "") -> None:
        self._observer(
            self._figures.snapshot(
                self._phase,
                self._stretcher.health,
                self._recorder,
                batch=batch,
                moving=self._stretcher.moving,
                end_reason=end_reason,
                message=message,
            )
        )
