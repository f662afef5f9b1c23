"""One pull on a rig, from the first reading to the recording's end line.

    getting ready   `preparation`: the plan is checked against the rig, the recording is created
    zero            readings at rest; the strand hangs slack
    pull            every batch is recorded, then judged, then shown
    end             the motor is stopped first, last readings are taken, then the recording is ended

Whatever happens, the motor is stopped before anything else is done, and the recording ends with a reason (or,
where even this program is killed, is a shorter valid recording while the board stops for silence). Runs in the
caller's thread (`run`) or beside it (`start`); `request_stop` may come from any thread.
"""

from __future__ import annotations

import contextlib
import threading

from rig.clock import Repeater
from rig.errors import RigError
from rig.limits import Trip
from rig.outcome import PullOutcome, trip_of_error
from rig.plan import PullPlan
from rig.preparation import prepare
from rig.pull import Pull
from rig.snapshot import Observer, nobody
from rig.stretcher import Stretcher

STOPPED_BY_PERSON = "The pull was stopped by the person."
OWN_MISTAKE = "The pull was ended by a mistake of this program; the motor was stopped."


class PullRun:
    """One pull; used once."""

    def __init__(self, stretcher: Stretcher, plan: PullPlan, observer: Observer = nobody) -> None:
        self._stretcher = stretcher
        self._plan = plan
        self._observer = observer
        self._stop: Trip | None = None
        self._thread: Repeater | None = None
        self._finished = threading.Event()
        self._outcome: PullOutcome | None = None
        self._failure: BaseException | None = None

    def start(self) -> None:
        """Run beside the caller."""
        self._thread = self._stretcher.clock.repeat("pull", 0.0, self._run_beside)

    def request_stop(self, reason: str = "key", text: str = STOPPED_BY_PERSON) -> None:
        """Stop the motor now and end the pull for this reason; from any thread, at any time."""
        self._stop = self._stop or Trip(reason, text)
        with contextlib.suppress(RigError):  # where the link is gone, the run finds out by itself
            self._stretcher.send_stop()
        self._stretcher.wake()

    @property
    def over(self) -> bool:
        """Whether a started run has ended, one way or the other: `wait` comes back at once."""
        return self._finished.is_set()

    def wait(self, timeout_s: float | None = None) -> PullOutcome | None:
        """The outcome of a started run; None where it is not there within the time.

        Raises what ended the run where it did not come to a recording.
        """
        if not self._finished.wait(timeout_s):
            return None
        if self._failure is not None:
            raise self._failure
        return self._outcome

    def run(self) -> PullOutcome:
        """Carry the pull out. Ctrl-C stops it as a key does.

        Raises RigError where it does not come to a recording (a plan that can't be, a latched stop, a folder
        that can't be written), and whatever an observer raises, after the motor was stopped.
        """
        prepared = prepare(self._stretcher, self._plan)
        pull = Pull(self._stretcher, self._plan, prepared, self._observer, lambda: self._stop)
        try:
            trip = _until_end(pull)
        except KeyboardInterrupt:
            trip = Trip("key", STOPPED_BY_PERSON)
        except RigError as problem:
            trip = self._stop or trip_of_error(problem)
        except BaseException:
            with contextlib.suppress(Exception):  # what went wrong first is what is told
                pull.end(Trip("error", OWN_MISTAKE))
            raise
        return pull.end(trip)

    def _run_beside(self) -> bool:
        try:
            self._outcome = self.run()
        except BaseException as failure:  # handed to whoever waits
            self._failure = failure
        self._finished.set()
        return False


def run_pull(stretcher: Stretcher, plan: PullPlan, observer: Observer = nobody) -> PullOutcome:
    """Carry one pull out on a connected rig; see `PullRun.run`."""
    return PullRun(stretcher, plan, observer).run()


def _until_end(pull: Pull) -> Trip:
    zero = pull.take_zero()
    if isinstance(zero, Trip):
        return zero
    pull.begin(zero)
    while True:
        trip = pull.turn()
        if trip:
            return trip
