"""The rig on the bench as the app sees it: connect, pull, stop, move back, and what to say about it all.

Owns the connection and the running pull, whatever screen is shown. Knows no widgets. Methods that say so block,
and are called in a thread of their own; `stop` may be called from any thread at any time.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from tui.feed import Feed
from tui.safe_text import clean
from tui.widgets.link_status import RigState

if TYPE_CHECKING:
    from recordings.format import Method, Specimen
    from rig.outcome import PullOutcome
    from rig.run import PullRun
    from rig.simulated.settings import SimulationSettings
    from rig.snapshot import Snapshot
    from rig.stretcher import Stretcher
    from tui.own_rig import OwnRig

#: How long a pull may take to end after it was told to stop, before the program goes on without it [s].
END_S = 10.0

#: End reason of a pull that brought the stage back itself.
BACK_AT_START = "done"

#: The rate of readings is counted over at least this long [s].
RATE_S = 0.8


class Bench:
    """One rig at a time, and one pull at a time."""

    def __init__(self, directory: Path) -> None:
        self.directory = directory
        #: Whether the person has confirmed the cautions in this session.
        self.cautioned = False
        self.stretcher: Stretcher | None = None
        #: The simulated rig that this program serves itself, while there is one.
        self.own_rig: OwnRig | None = None
        self._run: PullRun | None = None
        self._snapshot: Snapshot | None = None
        self._start_steps: int | None = None
        self._moving_back = threading.Event()
        self._stopping = False
        self._counted = (0.0, 0)
        self._rate_hz: float | None = None

    # -- the rig ------------------------------------------------------------------------------------------

    def connect(self, address: str) -> None:
        """Connect to the rig at an address, instead of the one before. Blocks. Raises RigError."""
        from rig.connect import connect

        self.close()
        self.stretcher = connect(address).open()

    def simulate(self, settings: SimulationSettings) -> None:
        """Start a simulated rig behind a port of this computer and connect to it. Blocks. Raises as `connect`."""
        from tui.own_rig import OwnRig

        self.close()
        own_rig = OwnRig(settings)
        try:
            self.connect(own_rig.address)
        except BaseException:
            own_rig.close()
            raise
        self.own_rig = own_rig

    def close(self) -> None:
        """End the pull, stop the motor and let go of the rig. Blocks. Raises where a running motor was not
        confirmed to have stopped.
        """
        run, stretcher = self._run, self.stretcher
        try:
            if run is not None and self.busy:
                run.request_stop("key")
                with contextlib.suppress(Exception):  # what went wrong with the pull does not change what follows
                    run.wait(END_S)
            if stretcher is not None:
                stretcher.close()
        finally:
            if self.own_rig is not None:
                self.own_rig.close()
            self.own_rig = self.stretcher = self._run = self._snapshot = self._start_steps = None

    # -- a pull -------------------------------------------------------------------------------------------

    @property
    def busy(self) -> bool:
        """Whether a pull is under way or the stage is being moved back."""
        return self._moving_back.is_set() or (self._run is not None and not self._run.over)

    @property
    def is_simulated(self) -> bool:
        """Whether the rig said that nothing moves."""
        return self.stretcher is not None and self.stretcher.facts.simulated

    def start_pull(
        self,
        specimen: Specimen,
        wake: Callable[[], object],
        *,
        clear_stop: bool = False,
        method: Method | None = None,
    ) -> Feed:
        """Begin to pull a strand, beside the caller; the feed has what is to be seen of it."""
        from recordings.format import Method
        from rig.plan import PullPlan
        from rig.run import PullRun

        assert self.stretcher is not None
        feed = Feed(wake)
        simulation = self.own_rig.header if self.own_rig is not None else {}
        plan = PullPlan(
            specimen,
            method=method if method is not None else Method(),
            directory=self.directory,
            clear_stop=clear_stop,
            simulation=simulation,
        )
        self._stopping, self._snapshot = False, None
        self._run = PullRun(self.stretcher, plan, feed)
        self._run.start()
        return feed

    def wait_for_end(self) -> PullOutcome:
        """How the pull ended. Blocks until it has. Raises what ended it where it did not come to a recording."""
        assert self._run is not None
        try:
            outcome = self._run.wait()
        finally:
            self._run = None
        assert outcome is not None
        if outcome.end_reason == BACK_AT_START:
            self._start_steps = None
        return outcome

    def stop(self) -> None:
        """Stop whatever moves, now. From any thread, in any state; never raises."""
        self._stopping = self._stopping or self.busy
        run, stretcher = self._run, self.stretcher
        if run is not None and self.busy:
            run.request_stop("key")
        elif stretcher is not None:
            with contextlib.suppress(Exception):  # where the link is gone the board stops by itself
                stretcher.send_stop()

    @property
    def must_move_back(self) -> bool:
        """Whether the stage stands elsewhere than where the pulls of this session began."""
        return self._start_steps is not None

    def move_back(self) -> None:
        """Move the stage back to where the last pull began, unless a stop comes. Blocks. Raises RigError."""
        from rig.errors import Overtaken
        from rig.preparation import clear_latched

        stretcher, start_steps = self.stretcher, self._start_steps
        if stretcher is None or start_steps is None:
            return
        self._stopping = False
        self._moving_back.set()
        try:
            stops = stretcher.stops_sent
            clear_latched(stretcher, everything=False)
            if stretcher.return_to(start_steps, stops=stops).name == "DONE":
                self._start_steps = None
        except Overtaken:
            return  # stopped by the person: `must_move_back` says so
        finally:
            self._moving_back.clear()

    # -- what to say --------------------------------------------------------------------------------------

    def see(self, snapshot: Snapshot) -> None:
        """Take in the newest snapshot of the pull."""
        self._snapshot = snapshot
        if snapshot.moving:
            self._start_steps = snapshot.scale.start_steps

    @property
    def stopping(self) -> bool:
        """Whether a stop was asked for and the motor has not come to rest yet."""
        return self._stopping and self.busy

    def state(self) -> RigState:
        """What there is to say about the rig now."""
        stretcher = self.stretcher
        if stretcher is None:
            return RigState()
        health = stretcher.health
        state = RigState(
            connected=True,
            name=clean(stretcher.facts.name, 24),
            simulated=stretcher.facts.simulated,
            lost=health.lost_samples,
            damaged=health.bad,
            link_gone=stretcher.link_cause is not None,
            moving=stretcher.moving,
            rate_hz=self._rate(health.samples),
        )
        return replace(state, doing=self._doing(stretcher))

    def _rate(self, samples: int) -> float | None:
        """Readings a second, counted anew from time to time; None where none come."""
        now = time.monotonic()
        since, before = self._counted
        if now - since >= RATE_S:
            self._rate_hz = (samples - before) / (now - since) if since and samples > before else None
            self._counted = (now, samples)
        return self._rate_hz

    def _doing(self, stretcher: Stretcher) -> str:
        """What the motor does, or why it may not run."""
        from firmware_protocol.vocabulary import meaning
        from rig.preparation import CLEARED_BY_ITSELF

        if self._moving_back.is_set():
            return "moving back: keep fingers away"
        if self._run is not None and self._snapshot is not None and self.busy:
            return self._snapshot.phase.value
        reason = stretcher.latched
        held = reason.name not in ("NONE", "DONE", "COMMAND") and reason not in CLEARED_BY_ITSELF
        return meaning(reason) if held else ""
