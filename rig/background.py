"""The life of a run that can be carried out here or beside the caller, and stopped from any thread.

Owns who waits for whom. What the run does is in its subclass. Knows no rig.
"""

from __future__ import annotations

import contextlib
import threading
from abc import ABC, abstractmethod
from collections.abc import Callable

from rig.clock import Clock, Repeater
from rig.errors import RigError
from rig.limits import Trip
from rig.outcome import PullOutcome, trip_of_error

STOPPED_BY_PERSON = "The pull was stopped by the person."
OWN_MISTAKE = "The pull was ended by a mistake of this program; the motor was stopped."


class Background(ABC):
    """A run; used once."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._thread: Repeater | None = None
        self._finished = threading.Event()
        self._outcome: PullOutcome | None = None
        self._failure: BaseException | None = None
        self._wish: Trip | None = None

    @abstractmethod
    def run(self) -> PullOutcome:
        """Carry it out in the caller's thread. Ctrl-C stops it as a key does."""

    @abstractmethod
    def _hurry(self) -> None:
        """Make a stop that was asked for happen at once; may be called in any thread."""

    def start(self) -> None:
        """Carry it out beside the caller."""
        self._thread = self._clock.repeat("pull", 0.0, self._run_beside)

    def request_stop(self, reason: str = "key", text: str = STOPPED_BY_PERSON) -> None:
        """Stop now and end for this reason; from any thread, at any time. The first reason stands."""
        self._wish = self._wish or Trip(reason, text)
        self._hurry()

    @property
    def over(self) -> bool:
        """Whether a started run has ended."""
        return self._finished.is_set()

    def wait(self, timeout_s: float | None = None) -> PullOutcome | None:
        """The outcome of a started run; None where it is not there within the time.

        Raises what ended the run where it did not come to an outcome.
        """
        if not self._finished.wait(timeout_s):
            return None
        if self._failure is not None:
            raise self._failure
        return self._outcome

    def _carry_out(self, work: Callable[[], Trip], end: Callable[[Trip], PullOutcome]) -> PullOutcome:
        """Do the work, and end it whatever happens.

        Raises what is nobody's plan (a mistake in this program or in an observer), after the end.
        """
        try:
            trip = work()
        except KeyboardInterrupt:
            trip = Trip("key", STOPPED_BY_PERSON)
        except RigError as problem:
            trip = self._wish or trip_of_error(problem)
        except BaseException:
            with contextlib.suppress(Exception):  # what went wrong first is what is told
                end(Trip("error", OWN_MISTAKE))
            raise
        return end(trip)

    def _wished(self) -> Trip | None:
        return self._wish

    def _run_beside(self) -> bool:
        try:
            self._outcome = self.run()
        except BaseException as failure:  # handed to whoever waits
            self._failure = failure
        self._finished.set()
        return False
