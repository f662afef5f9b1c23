"""A rig at the end of a link: its life, what is known of it, and the stop.

A context manager whose end always stops the motor: either the board has answered the stop and stands still, or
the link is gone, and a board that hears nothing stops by itself within half a second. The verbs that move are
`stretcher`'s.
"""

from __future__ import annotations

from types import TracebackType
from typing import Self

from firmware_protocol.messages import Ack, Command, Identify, Identity, Query, Status, Stream
from firmware_protocol.vocabulary import PROTOCOL_VERSION, Flag, Result, StopReason, stop_reason
from rig.clock import Clock, WallClock
from rig.dialogue import Dialogue
from rig.errors import BoardRestarted, NoAnswer, NotARig, Overtaken, Refused, RigError
from rig.facts import RigFacts, facts_of
from rig.inbox import LinkHealth
from rig.link import Link
from rig.listener import Answer
from rig.samples import SampleBatch

#: A board that restarts when its port is opened needs a few seconds before it answers [s].
IDENTIFY_S = 4.0
#: How long a motor may take to slow down after a stop was answered [s].
SLOW_DOWN_S = 3.0
#: How often a moving rig is asked whether it still moves [s].
POLL_S = 0.1


class ConnectedRig:
    """A rig that can be listened to and stopped. Calls come from one thread at a time; `send_stop` from any."""

    def __init__(self, link: Link, clock: Clock | None = None) -> None:
        self.clock: Clock = clock or WallClock()
        self.address = link.address
        self._dialogue = Dialogue(link, self.clock)
        self._facts: RigFacts | None = None
        self._stop_failed = False

    # --- life -----------------------------------------------------------------------------------------------

    def open(self) -> Self:
        """Begin to listen, and find out who is there. Raises RigError; then the link is closed again."""
        self._dialogue.start()
        try:
            self.identify()
            self.status()
        except BaseException:
            self._dialogue.close()
            raise
        return self

    def close(self) -> None:
        """Stop the motor and let go of the link.

        Raises the reason where the motor ran when last heard and the board did not confirm the stop, unless
        a `stop` before has raised it already.
        """
        told = self._stop_failed
        try:
            if told:
                self.send_stop()
            else:
                self.stop()
        except RigError:
            if self.moving and not told:
                raise
        finally:
            self._dialogue.close()

    def __enter__(self) -> Self:
        return self.open()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            self.close()
        except RigError:
            if error is None:
                raise

    # --- what is known --------------------------------------------------------------------------------------

    @property
    def facts(self) -> RigFacts:
        """What the rig can do."""
        if self._facts is None:
            raise NotARig("The rig has not been identified yet: connect to it first.")
        return self._facts

    @property
    def flags(self) -> int:
        """The flags word the board sent last, in a sample or a status."""
        return self._dialogue.heard.flags

    @property
    def moving(self) -> bool:
        """Whether the motor ran when the board was last heard."""
        return bool(self.flags & Flag.MOVING)

    @property
    def latched(self) -> StopReason:
        """Why the motor last stopped, as the board last said."""
        return stop_reason(self.flags)

    @property
    def restarts(self) -> int:
        """How often the board has restarted since it was connected."""
        return self._dialogue.heard.restarts

    @property
    def stops_sent(self) -> int:
        """How many stops have been sent, by whatever thread: a motion can be made to depend on it."""
        return self._dialogue.stops_sent

    @property
    def health(self) -> LinkHealth:
        """How well the link does."""
        return self._dialogue.inbox.health

    @property
    def newest(self) -> SampleBatch | None:
        """The samples that came last, taken or not."""
        return self._dialogue.inbox.newest

    @property
    def link_cause(self) -> RigError | None:
        """Why the link ended; None while it lives."""
        return self._dialogue.inbox.cause

    @property
    def unread(self) -> tuple[str, ...]:
        """Nothing to show: frames that can't be read are counted, and mean nothing to a person."""
        return ()

    # --- listening ------------------------------------------------------------------------------------------

    def identify(self) -> RigFacts:
        """Ask who is there, for long enough that a board can restart. Raises NotARig, WrongProtocol, LinkLost."""
        deadline = self.clock.now_s() + IDENTIFY_S
        while True:
            try:
                identity = self._dialogue.ask(Identify(0, PROTOCOL_VERSION))
            except NoAnswer as silence:
                if self.clock.now_s() < deadline:
                    continue
                raise NotARig(self._not_a_rig()) from silence
            if isinstance(identity, Identity):
                self._facts = facts_of(identity)
                return self._facts

    def status(self) -> Status:
        """Ask for the whole state of the board."""
        answer = self._ask(Query(0))
        if not isinstance(answer, Status):
            raise NoAnswer("Query")
        return answer

    def stream(self, on: bool) -> None:
        """Switch the samples on or off; what waited to be taken is forgotten."""
        self._dialogue.inbox.clear()
        self._ask(Stream(0, int(on)))

    def take(self, timeout_s: float) -> tuple[SampleBatch, ...]:
        """The samples that came, waiting up to `timeout_s` for the first; keeps the heartbeat going."""
        return self._dialogue.take(timeout_s)

    def wake(self) -> None:
        """End a `take` in another thread at once."""
        self._dialogue.inbox.wake()

    # --- stopping -------------------------------------------------------------------------------------------

    def stop(self) -> None:
        """Stop the motor and wait until it stands. Raises NoAnswer, or the cause why the link ended."""
        self._stop_failed = True
        self._dialogue.stop()
        deadline = self.clock.now_s() + SLOW_DOWN_S
        while self._slowing_down():
            if self.clock.now_s() > deadline:
                raise NoAnswer("Stop")
            self._pause(POLL_S)
        self._stop_failed = False

    def send_stop(self) -> None:
        """Write a stop at once, from any thread; does not wait. Raises the cause where the link is gone."""
        self._dialogue.send_stop()

    # --- how ------------------------------------------------------------------------------------------------

    def _ask(self, command: Command, stops: int | None = None) -> Answer:
        answer = self._dialogue.ask(command, stops)
        if isinstance(answer, Ack) and answer.result != Result.OK:
            raise Refused(type(command).__name__, answer.result, self.latched)
        return answer

    def _slowing_down(self) -> bool:
        try:
            self.status()
        except Overtaken:
            return True
        except BoardRestarted:
            pass
        return self.moving

    def _pause(self, duration_s: float) -> None:
        """Wait, with the heart beating; ends early where the link ends, by raising its cause."""
        self._dialogue.keep_alive()
        changed = self._dialogue.inbox.changed
        end = self.clock.now_s() + duration_s
        with changed:
            while (left := end - self.clock.now_s()) > 0:
                if self.link_cause:
                    raise self.link_cause
                self.clock.wait(changed, left)

    def _not_a_rig(self) -> str:
        if self.health.bytes_read == 0:
            return (
                f"Nothing answers at {self.address}: check that the rig has power, that this is its port, and that "
                "no bootloader waits for a button."
            )
        return (
            f"What answers at {self.address} is not a strand rig, or talks at another line speed: choose another "
            "port, or give the speed with --baud."
        )
