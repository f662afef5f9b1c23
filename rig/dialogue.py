"""Commands and answers with a board that speaks the wire, over one link.

Owns the reader, the heartbeat and who may write when. What the board says is taken in by `listener`. Knows
messages, no millimetres: verbs in units are `stretcher`'s.

Threads, and what each may do:

    link reader   reads the link, feeds the session, fills the inbox. Never writes, never waits for others.
    heartbeat     every 100 ms tells the board that the host lives, for as long as somebody watches:
                  the lease of `LEASE_S`, renewed by whoever takes samples or waits for an answer. A program
                  that hangs lets the lease run out, and the board stops the motor for silence.
    the caller    one at a time: `ask` sends a command and waits for its answer. Takes samples from the inbox.
    any thread    `send_stop`: writes a Stop at once, whatever else is going on.

The session is touched only under the inbox's condition; the link is written only under `_writing`, which is
taken first. The reader never takes `_writing`, so a write that blocks never blocks reading.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from firmware_protocol.errors import HostMistake
from firmware_protocol.messages import Command, Identify, Stop
from firmware_protocol.vocabulary import HEARTBEAT_MS
from rig.clock import Clock, Repeater
from rig.errors import BoardRestarted, NoAnswer, Overtaken, RigError, WrongProtocol
from rig.inbox import Inbox
from rig.link import Link
from rig.listener import Answer, Listener
from rig.reader import Reader
from rig.samples import SampleBatch

#: How long the answer to a command may take before it is sent again [s].
ANSWER_S = 0.25
#: A command is sent again this often before the board counts as not answering.
REPEATS = 3
#: Time between two heartbeats [s]; the board stops the motor after 0.5 s of silence.
HEARTBEAT_S = HEARTBEAT_MS / 1000.0
#: The heart beats on for so long after somebody last watched [s]: a slow disk must not spoil a pull.
LEASE_S = 1.0


class Dialogue:
    """One board behind one link."""

    def __init__(self, link: Link, clock: Clock) -> None:
        self.link = link
        self.clock = clock
        self.inbox = Inbox(clock)
        #: What the board says; read it freely, it is written by the reader thread alone.
        self.heard = Listener(self.inbox)
        #: How many stops have been sent.
        self.stops_sent = 0
        self._session = self.heard.session
        self._reader = Reader(link, self._feed, self.inbox.end, clock)
        self._heart: Repeater | None = None
        self._lease_until_s = clock.now_s()
        self._writing = threading.Lock()
        self._asking = threading.Lock()

    def start(self) -> None:
        """Begin to read and to beat."""
        self._reader.start()
        self._heart = self.clock.repeat("heartbeat", HEARTBEAT_S, self._beat)

    def close(self) -> None:
        """End the threads and let go of the link; the board hears nothing more."""
        if self._heart:
            self._heart.cancel()
        self._reader.stop()
        self.link.close()

    def ask(self, command: Command, stops: int | None = None) -> Answer:
        """Send a command and wait for its answer, sending it again where none comes.

        `stops` is how many stops the caller knows of: where there are more, nothing is sent. So a motion never
        follows on a stop that was meant to prevent it. Raises NoAnswer, Overtaken by a stop, BoardRestarted,
        WrongProtocol, or the cause why the link ended.
        """
        with self._asking:
            if isinstance(self._session.outstanding, Stop):
                self._confirm_stop()
            before = (self.stops_sent if stops is None else stops, self.heard.restarts)
            self._send(lambda: self._request(command, before))
            for attempt in range(1 + REPEATS):
                if attempt:
                    self._send(self._repeat)
                answer = self._wait_for_answer(type(command), before)
                if answer is not None:
                    return answer
            with self.inbox.changed:
                self._session.give_up()
            raise NoAnswer(type(command).__name__)

    def send_stop(self) -> None:
        """Write a Stop now, from any thread, in any state; does not wait for the answer. Raises LinkLost."""
        self._send(self._request_stop)

    def stop(self) -> None:
        """Send a Stop and wait for its answer. Raises NoAnswer, or the cause why the link ended."""
        self.send_stop()  # at once: whoever waits for an answer is overtaken, and gives way
        with self._asking:
            self._confirm_stop()

    def take(self, timeout_s: float) -> tuple[SampleBatch, ...]:
        """The sample batches that came, waiting up to `timeout_s` for the first. Keeps the heart beating."""
        self.keep_alive()
        return self.inbox.take(timeout_s)

    def keep_alive(self) -> None:
        """Renew the lease of the heartbeat."""
        self._lease_until_s = self.clock.now_s() + LEASE_S

    def _beat(self) -> bool:
        if self.clock.now_s() < self._lease_until_s:
            try:
                self._send(self._session.heartbeat)
            except RigError:
                return False
        return self.inbox.cause is None

    def _send(self, make: Callable[[], bytes]) -> None:
        with self._writing:
            with self.inbox.changed:
                if self.inbox.cause:
                    raise self.inbox.cause
                data = make()
            try:
                if data:
                    self.link.write(data)
            except RigError as cause:
                self.inbox.end(cause)
                raise

    def _confirm_stop(self) -> None:
        for attempt in range(1 + REPEATS):
            if attempt:
                self._send(self._repeat)
            if self._wait_for_answer(Stop, None) is not None:
                return
        raise NoAnswer(Stop.__name__)

    def _request(self, command: Command, before: tuple[int, int]) -> bytes:
        if self.stops_sent != before[0]:
            raise Overtaken(type(command).__name__)
        self.heard.answer = None
        self.heard.wrong = ""
        try:
            return self._session.request(command)
        except HostMistake as mistake:
            if isinstance(self._session.outstanding, Stop):  # sent by another thread a moment ago
                raise Overtaken(type(command).__name__) from mistake
            if self.heard.restarts and not isinstance(command, Identify):
                raise BoardRestarted from mistake
            raise

    def _request_stop(self) -> bytes:
        self.stops_sent += 1
        self.heard.answer = None
        return self._session.request(Stop(0))

    def _repeat(self) -> bytes:
        # The answer may have come in the moment after the wait for it ended.
        return self._session.repeat() if self._session.outstanding else b""

    def _wait_for_answer(self, kind: type, before: tuple[int, int] | None) -> Answer | None:
        """The answer to a command of this kind; None where it did not come in time.

        `before` are the stops and restarts counted when it was sent: another one ends the wait, unless None.
        """
        deadline = self.clock.now_s() + ANSWER_S
        with self.inbox.changed:
            while True:
                self._raise_what_ended(kind, before)
                # A late answer to a question before this one is none: then this one is still outstanding.
                if self.heard.answer and self.heard.answer[0] is kind and not self._session.outstanding:
                    return self.heard.answer[1]
                left = deadline - self.clock.now_s()
                if left <= 0:
                    return None
                self.keep_alive()
                self.clock.wait(self.inbox.changed, left)

    def _raise_what_ended(self, kind: type, before: tuple[int, int] | None) -> None:
        if self.inbox.cause:
            raise self.inbox.cause
        if before is None:
            return
        if self.heard.wrong:
            raise WrongProtocol(self.heard.wrong)
        if self.stops_sent != before[0]:
            raise Overtaken(kind.__name__)
        if self.heard.restarts != before[1] and kind is not Identify:
            raise BoardRestarted

    def _feed(self, data: bytes, now_s: float) -> None:
        self.heard.feed(data, self._reader)
