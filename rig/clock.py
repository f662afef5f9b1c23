"""Time as the rig side sees it, injected so that tests need not wait.

Owns the three ways in which this package meets time: reading the clock, waiting for another thread, and
repeating a step beside the caller (a thread, or a test's lockstep). Nothing else in the package may call
`time` or start a thread. Knows nothing of rigs.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import datetime
from typing import Protocol

#: How long the end of a repeated step is waited for [s]; a step is a read with a short timeout.
JOIN_S = 2.0


class Repeater(Protocol):
    """A step that is being repeated beside the caller."""

    def cancel(self) -> None:
        """Repeat no more, and wait until a step in progress has ended."""


class Clock(Protocol):
    """Where the time comes from."""

    def now_s(self) -> float:
        """Seconds on a clock that never goes back."""

    def today(self) -> datetime:
        """The date and time of day, with its zone."""

    def wait(self, condition: threading.Condition, timeout_s: float) -> None:
        """Let time pass until notified, at most `timeout_s`; the caller holds the condition."""

    def repeat(self, name: str, period_s: float, step: Callable[[], bool]) -> Repeater:
        """Call `step` every `period_s` seconds (0: without a pause) until it returns False or is cancelled."""


class WallClock:
    """The computer's clock, and real threads."""

    def now_s(self) -> float:
        """Seconds on the monotonic clock."""
        return time.monotonic()

    def today(self) -> datetime:
        """Local time of day with its zone."""
        return datetime.now().astimezone()

    def wait(self, condition: threading.Condition, timeout_s: float) -> None:
        """Wait on the condition."""
        condition.wait(timeout_s)

    def repeat(self, name: str, period_s: float, step: Callable[[], bool]) -> Repeater:
        """Repeat in a thread of its own."""
        return _ThreadRepeater(name, period_s, step)


class _ThreadRepeater:
    """A daemon thread, so that a program that is ending never hangs on it."""

    def __init__(self, name: str, period_s: float, step: Callable[[], bool]) -> None:
        self._period_s = period_s
        self._step = step
        self._cancelled = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._cancelled.is_set() and self._step():
            if self._period_s > 0:
                self._cancelled.wait(self._period_s)

    def cancel(self) -> None:
        """Repeat no more, and wait until a step in progress has ended."""
        self._cancelled.set()
        if self._thread is not threading.current_thread():
            self._thread.join(JOIN_S)
