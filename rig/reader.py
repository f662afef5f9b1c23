"""The one thread that reads: link -> decoder -> inbox, and nothing else.

It never writes to the link, never waits for whoever takes from the inbox, and ends with a cause. The decoder
(frames or lines) is handed in; this module knows only bytes and when they came.
"""

from __future__ import annotations

from collections.abc import Callable

from rig.clock import Clock, Repeater
from rig.errors import RigError
from rig.link import READ_SIZE, Link

#: How long one read waits for bytes [s]: also how long the end of the thread takes at most.
READ_TIMEOUT_S = 0.05
#: After a read the link is left alone for this long [s]: at high rates this makes one batch of several readings,
#: for a fraction of the work, and no person sees 4 ms.
READ_PAUSE_S = 0.004
#: A read that ends this much later than it could have is a late one: the computer was busy elsewhere [s].
LATE_READ_S = 0.05


class Reader:
    """Reads a link until stopped or until the link is lost."""

    def __init__(
        self, link: Link, feed: Callable[[bytes, float], None], ended: Callable[[RigError], None], clock: Clock
    ) -> None:
        self._link = link
        self._feed = feed
        self._ended = ended
        self._clock = clock
        self._repeater: Repeater | None = None
        self._last_return_s = clock.now_s()
        self.bytes_read = 0
        self.late_reads = 0

    def start(self) -> None:
        """Begin to read."""
        self._repeater = self._clock.repeat("link reader", READ_PAUSE_S, self._step)

    def stop(self) -> None:
        """Read no more."""
        if self._repeater:
            self._repeater.cancel()

    def _step(self) -> bool:
        try:
            data = self._all_there_is()
            self._look_at_clock()
            if data:
                self.bytes_read += len(data)
                self._feed(data, self._last_return_s)
        except RigError as cause:
            self._ended(cause)
            return False
        except Exception as mistake:  # whoever waits must hear of it, whatever it was
            self._ended(
                RigError(f"The program's own reader failed ({mistake!r}): start it again, and report this.")
            )
            return False
        return True

    def _all_there_is(self) -> bytes:
        data = self._link.read(READ_TIMEOUT_S)
        while data and len(data) < READ_SIZE and (more := self._link.read(0.0)):
            data += more
        return data

    def _look_at_clock(self) -> None:
        now_s = self._clock.now_s()
        self.late_reads += now_s - self._last_return_s > READ_PAUSE_S + READ_TIMEOUT_S + LATE_READ_S
        self._last_return_s = now_s
