"""A board that only prints lines, as a source of sample batches. Read only: nothing is ever sent to it.

Owns the reader, the inbox and what makes samples of readings: a time that only grows, the computer's own time
where the board prints none, and the notice that the board has started anew. What the columns mean is the
decoder's.
"""

from __future__ import annotations

from rig.clock import Clock
from rig.errors import BoardRestarted, RigError
from rig.inbox import Inbox, LinkHealth
from rig.line_columns import LineColumns
from rig.line_decoder import LineDecoder, Reading
from rig.link import Link
from rig.reader import Reader
from rig.samples import SampleBatch
from rig.unwrap import TICK_BITS

#: A printed time that goes back by more than this is a board that started anew [us]; by less, a line out of turn.
RESTART_US = 1_000_000
#: A printed microsecond counter of 32 bits that goes back by at least half its range has wrapped.
WRAP_US = 1 << TICK_BITS


class LineBoard:
    """Lines from a link, as batches in an inbox."""

    def __init__(self, link: Link, columns: LineColumns, clock: Clock) -> None:
        self.link = link
        self.inbox = Inbox(clock)
        self.clock = clock
        self._decoder = LineDecoder(columns)
        self._reader = Reader(link, self._feed, self.inbox.end, clock)
        self._began_s = clock.now_s()
        self._last_us: int | None = None
        self._wrapped_us = 0
        self._restarted = False
        self._settled = False

    @property
    def health(self) -> LinkHealth:
        """How well the link does."""
        return self.inbox.health

    @property
    def link_cause(self) -> RigError | None:
        """Why nothing more will come; None while the link lives."""
        return self.inbox.cause

    @property
    def moving(self) -> bool:
        """There is no motor this program knows of."""
        return False

    def take(self, timeout_s: float) -> tuple[SampleBatch, ...]:
        """The readings that came, waiting up to `timeout_s` for the first."""
        return self.inbox.take(timeout_s)

    @property
    def unread(self) -> tuple[str, ...]:
        """The newest lines that gave no reading, cleaned for showing."""
        with self.inbox.changed:
            return tuple(self._decoder.unread)

    def start(self) -> None:
        """Begin to read."""
        self._reader.start()

    def settle(self) -> None:
        """A pull begins: a board that starts anew ends it now. Before, opening the port may have done that."""
        self._settled = True

    def close(self) -> None:
        """End the reader and let go of the link."""
        self._reader.stop()
        self.link.close()

    def _feed(self, data: bytes, now_s: float) -> None:
        """Take bytes in; runs in the reader thread."""
        with self.inbox.changed:
            readings = self._decoder.feed(data)
            self.inbox.set_counters(
                bytes_read=self._reader.bytes_read,
                bad=self._decoder.bad,
                unknown=self._decoder.texts,
                late_reads=self._reader.late_reads,
            )
            batch = self._batch(readings, now_s)
            if self._restarted and self._settled:
                self.inbox.end(BoardRestarted())
            elif readings:
                self.inbox.put(batch)
            self._restarted = False

    def _batch(self, readings: list[Reading], now_s: float) -> SampleBatch:
        arrived_us = round((now_s - self._began_s) * 1e6)
        return SampleBatch(
            tuple(self._time(arrived_us if r.t_us is None else r.t_us) for r in readings),
            tuple(r.counts for r in readings),
            tuple(r.steps for r in readings),
            (0,) * len(readings),
        )

    def _time(self, t_us: int) -> int:
        """The time of a reading on one scale, whatever the board's counter does [us]."""
        t_us += self._wrapped_us
        if self._last_us is not None and t_us < self._last_us:
            back_us = self._last_us - t_us
            if back_us > WRAP_US // 2 and self._last_us - self._wrapped_us < WRAP_US:
                self._wrapped_us += WRAP_US
                t_us += WRAP_US
            elif back_us > RESTART_US:
                self._restarted = True
        self._last_us = t_us
        return t_us
