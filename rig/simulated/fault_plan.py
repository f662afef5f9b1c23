"""When the ordered faults come and go, in device time. Knows not what they do."""

from __future__ import annotations

import heapq
import math
import sys
from dataclasses import dataclass

from rig.simulated.faults import Fault, Since

#: A device time that never comes [us].
NEVER_US = sys.maxsize


@dataclass(frozen=True, slots=True, order=True)
class Change:
    """A fault begins or ends."""

    at_us: int
    order: int
    name: str
    begins: bool


class FaultPlan:
    """The faults that were ordered, in order of time; `active` are those going on now."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.active: set[str] = set()
        self._faults = faults
        self._changes: list[Change] = []
        #: When the next fault begins or ends.
        self.next_us = NEVER_US
        self._plan(Since.START, 0)

    def pull_begins(self, now_us: int) -> None:
        """A pull starts: faults counted from it are due anew, those still due from the pull before are not."""
        awaited = {fault.name for fault in self._faults if fault.since is Since.PULL}
        self._changes = [c for c in self._changes if not (c.begins and c.name in awaited)]
        heapq.heapify(self._changes)
        self._plan(Since.PULL, now_us)

    def take(self, now_us: int) -> list[Change]:
        """The changes that are due, in order; they are now done."""
        due = []
        while self._changes and self._changes[0].at_us <= now_us:
            change = heapq.heappop(self._changes)
            (self.active.add if change.begins else self.active.discard)(change.name)
            due.append(change)
        self._look_ahead()
        return due

    def end(self, name: str) -> None:
        """A fault was put right from outside."""
        self.active.discard(name)

    def seconds(self, name: str) -> float:
        """How long a fault of that name lasts."""
        return next(fault.seconds for fault in self._faults if fault.name == name)

    def _plan(self, since: Since, from_us: int) -> None:
        for order, fault in enumerate(self._faults):
            if fault.since is since:
                begins_us = from_us + round(fault.at_s * 1e6)
                heapq.heappush(self._changes, Change(begins_us, order, fault.name, True))
                if 0.0 < fault.seconds < math.inf:
                    ends_us = begins_us + round(fault.seconds * 1e6)
                    heapq.heappush(self._changes, Change(ends_us, order, fault.name, False))
        self._look_ahead()

    def _look_ahead(self) -> None:
        self.next_us = self._changes[0].at_us if self._changes else NEVER_US
