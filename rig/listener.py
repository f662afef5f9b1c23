"""Takes in what a board says: answers, samples, its state, its restarts. Runs in the reader thread.

Owns the session and what is known of the board. Never writes to the link. All of it happens under the inbox's
condition, whose waiters are told whenever something came.
"""

from __future__ import annotations

from firmware_protocol.messages import Ack, Identify, Identity, Query, Sample, Status
from firmware_protocol.session import Session
from firmware_protocol.session_events import (
    Answered,
    Identified,
    Rebooted,
    SamplesRead,
    SessionEvent,
    StatusRead,
    WrongRig,
)
from firmware_protocol.vocabulary import Flag
from rig.inbox import Inbox
from rig.reader import Reader
from rig.samples import SampleBatch
from rig.unwrap import TickUnwrapper

Answer = Identity | Ack | Status


class Listener:
    """What a board has said so far."""

    def __init__(self, inbox: Inbox) -> None:
        self.session = Session()
        #: The flags word the board sent last, in a sample or a status.
        self.flags = 0
        #: How often the board has restarted since the link was opened.
        self.restarts = 0
        #: The answer that came last, by the type of the command it answers; None once a new command is sent.
        self.answer: tuple[type, Answer] | None = None
        #: Why the board can't be worked with; empty where it can.
        self.wrong = ""
        self._inbox = inbox
        self._ticks = TickUnwrapper()

    def feed(self, data: bytes, reader: Reader) -> None:
        """Take bytes in, with the counters of the reader that brought them."""
        with self._inbox.changed:
            for event in self.session.receive(data):
                self._take_in(event)
            counters = self.session.counters
            self._inbox.set_counters(
                bytes_read=reader.bytes_read,
                bad=counters.bad_frames,
                unknown=counters.unknown,
                late_reads=reader.late_reads,
            )
            self._inbox.changed.notify_all()

    def _take_in(self, event: SessionEvent) -> None:
        match event:
            case SamplesRead(samples, lost):
                self._take_samples(samples, lost)
            case Answered(command, ack):
                self.answer = (type(command), ack)
            case Identified(identity):
                self.wrong = ""
                self.answer = (Identify, identity)
            case StatusRead(status):
                self.flags = status.flags
                self.answer = (Query, status)
            case Rebooted():
                self.restarts += 1
                self.flags &= ~Flag.MOVING  # a board that has just started has not moved yet
                self._ticks.reset()
            case WrongRig(reason):
                self.wrong = reason
            case _:
                pass  # news, bad frames and unknown messages are in the counters and in the flags

    def _take_samples(self, samples: tuple[Sample, ...], lost: int) -> None:
        self.flags = samples[-1].flags
        self._inbox.put(
            SampleBatch(
                tuple(self._ticks.feed(sample.t_us) for sample in samples),
                tuple(sample.counts for sample in samples),
                tuple(sample.steps for sample in samples),
                tuple(sample.flags for sample in samples),
                lost,
            )
        )
