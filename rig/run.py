"""One pull on a rig, from the first reading to the recording's end line.

    getting ready   `preparation`: the plan is checked against the rig, the recording is created
    zero            readings at rest; the strand hangs slack
    pull            every batch is recorded, then judged, then shown; some kinds have several phases (`phases`)
    end             the motor is stopped first, last readings are taken, then the recording is ended

Whatever happens, the motor is stopped before anything else is done, and the recording ends with a reason (or,
where even this program is killed, is a shorter valid recording while the board stops for silence).
"""

from __future__ import annotations

import contextlib

from rig.background import Background
from rig.errors import RigError
from rig.limits import Trip
from rig.outcome import PullOutcome
from rig.phased_pull import PhasedPull
from rig.plan import PullPlan
from rig.preparation import prepare
from rig.pull import Pull
from rig.snapshot import Observer, nobody
from rig.stretcher import Stretcher


class PullRun(Background):
    """One pull; used once: `run` here, or `start` and `wait`; `request_stop` from any thread."""

    def __init__(self, stretcher: Stretcher, plan: PullPlan, observer: Observer = nobody) -> None:
        super().__init__(stretcher.clock)
        self._stretcher = stretcher
        self._plan = plan
        self._observer = observer

    def run(self) -> PullOutcome:
        """Carry the pull out. Ctrl-C stops it as a key does.

        Raises RigError where it does not come to a recording (a plan that can't be, a latched stop, a folder
        that can't be written), and whatever an observer raises, after the motor was stopped.
        """
        prepared = prepare(self._stretcher, self._plan)
        made = Pull if prepared.order.ways is None else PhasedPull
        pull = made(self._stretcher, self._plan, prepared, self._observer, self._wished)
        return self._carry_out(lambda: _until_end(pull), pull.end)

    def _hurry(self) -> None:
        with contextlib.suppress(RigError):  # where the link is gone, the run finds out by itself
            self._stretcher.send_stop()
        self._stretcher.wake()


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
