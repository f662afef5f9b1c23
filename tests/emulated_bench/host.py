# SPDX-License-Identifier: GPL-3.0-or-later
"""A host for a rig in lockstep: the program's own session, with time that passes only when told to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

from firmware_protocol.messages import (
    Ack,
    ClearStop,
    Command,
    Event,
    Identify,
    Identity,
    Query,
    Sample,
    Status,
    Stop,
    Stream,
)
from firmware_protocol.session import Session
from firmware_protocol.session_events import (
    Answered,
    FrameBad,
    Happened,
    Identified,
    Rebooted,
    SamplesRead,
    SessionEvent,
    StatusRead,
)
from firmware_protocol.vocabulary import HEARTBEAT_MS, PROTOCOL_VERSION, EventCode, Result, StopReason, stop_reason

MS = 1_000_000
#: How finely the host looks at the line [ms], unless told otherwise.
SLICE_MS = 5
#: An answer that takes longer than this is none [ms]; a board answers within a few.
ANSWER_MS = 60

Answer = Identity | Ack | Status


class Rig(Protocol):
    """A board in its world: emulated, the core on its own, or the program's simulated one."""

    @property
    def now_ns(self) -> int: ...
    def run_to(self, ns: int) -> None: ...
    def send(self, data: bytes) -> None: ...
    def receive(self) -> bytes: ...
    def set(self, name: str, value: float) -> None: ...
    def reset(self) -> None: ...


@dataclass(frozen=True, slots=True)
class Told:
    """An event of the session, and when the host had it [ns of true time]."""

    ns: int
    event: SessionEvent


class Host:
    """Talks to a rig; `silent` keeps its heart from beating."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.session = Session()
        self.told: list[Told] = []
        self.silent = False
        self.slice_ms = SLICE_MS
        self.last_sent_ns = 0
        self._seen = 0
        self._beat_ns = 0

    # --- time ---------------------------------------------------------------------------------------------

    def run(self, ms: float) -> None:
        """Let time pass, with a heartbeat where one is due."""
        end_ns = self.rig.now_ns + round(ms * MS)
        while self.rig.now_ns < end_ns:
            if not self.silent and self.rig.now_ns >= self._beat_ns:
                self._beat_ns = self.rig.now_ns + HEARTBEAT_MS * MS
                self.send(self.session.heartbeat())
            self.rig.run_to(min(end_ns, self.rig.now_ns + self.slice_ms * MS))
            self.take(self.rig.receive())

    def send(self, data: bytes) -> None:
        """Put bytes on the line."""
        self.last_sent_ns = self.rig.now_ns
        self.rig.send(data)

    def take(self, data: bytes) -> None:
        """Take bytes from the board into the session."""
        self.told += [Told(self.rig.now_ns, event) for event in self.session.receive(data)]

    # --- commands -----------------------------------------------------------------------------------------

    def ask(self, command: Command) -> Answer:
        """Send a command and wait for its answer."""
        self._seen = len(self.told)
        self.send(self.session.request(command))
        return self.wait_for_answer()

    def wait_for_answer(self) -> Answer:
        """The answer to what is outstanding."""
        before = len(self.told)
        for _ in range(0, ANSWER_MS, SLICE_MS):
            self.run(SLICE_MS)
            for told in self.told[before:]:
                match told.event:
                    case Answered(_, ack):
                        return ack
                    case Identified(identity):
                        return identity
                    case StatusRead(status):
                        return status
        raise AssertionError(f"no answer to {self.session.outstanding}")

    def expect(self, command: Command, result: Result = Result.OK) -> None:
        """Send a command whose answer must be this."""
        answer = self.ask(command)
        assert isinstance(answer, Ack)
        assert Result(answer.result) is result, command

    def begin(self, settle_ms: float = 300) -> Identity:
        """Let the board start and enough readings come, identify it, switch the samples on."""
        self.run(settle_ms)
        identity = self.identify()
        self.expect(Stream(0, 1))
        return identity

    def identify(self) -> Identity:
        """Ask the board who it is."""
        answer = self.ask(Identify(0, PROTOCOL_VERSION))
        assert isinstance(answer, Identity)
        return answer

    def status(self) -> Status:
        """Ask for the board's state."""
        answer = self.ask(Query(0))
        assert isinstance(answer, Status)
        return answer

    def stop(self) -> None:
        """Say stop, and have it answered."""
        self.expect(Stop(0))

    def clear(self, reason: StopReason) -> None:
        """Clear a latched reason."""
        self.expect(ClearStop(0, reason))

    def run_until(self, code: EventCode, limit_ms: float = 20_000) -> Event:
        """Let time pass until the board has told this event, since the last command was sent."""
        end_ns = self.rig.now_ns + round(limit_ms * MS)
        while self.rig.now_ns < end_ns:
            for told in self.told[self._seen :]:
                self._seen += 1
                if isinstance(told.event, Happened) and told.event.event.code == code:
                    return told.event.event
            self.run(SLICE_MS)
        raise AssertionError(f"{code.name} did not come")

    @property
    def latched(self) -> StopReason:
        """The stop reason, as the board says when asked."""
        return stop_reason(self.status().flags)

    # --- what was told ------------------------------------------------------------------------------------

    @property
    def samples(self) -> list[Sample]:
        """Every sample so far."""
        return [s for told in self.told if isinstance(told.event, SamplesRead) for s in told.event.samples]

    @property
    def lost(self) -> int:
        """Samples that are known to be lost."""
        return self.session.counters.lost_samples

    @property
    def events(self) -> list[Event]:
        """Every event so far."""
        return [told.event.event for told in self.told if isinstance(told.event, Happened)]

    @property
    def codes(self) -> list[EventCode]:
        """The codes of every event so far."""
        return [EventCode(event.code) for event in self.events]

    @property
    def bad_frames(self) -> int:
        """Damaged frames that were reported."""
        return self.count(FrameBad)

    @property
    def rebooted(self) -> bool:
        """Whether the session has noticed a restart."""
        return self.count(Rebooted) > 0

    def count(self, kind: type) -> int:
        """How many events of this kind came."""
        return sum(isinstance(told.event, kind) for told in self.told)


def gaps(samples: Iterable[Sample]) -> int:
    """Sequence numbers missing between samples that came."""
    numbers = [sample.seq for sample in samples]
    return sum((b - a - 1) % 65536 for a, b in pairwise(numbers))
