"""The host's end of a conversation with a board: bytes in, events out; wishes in, bytes out.

It holds the state of `session_states` and does what the table there says. It opens no port, waits for nothing
and knows no clock: when to repeat, to give up or to send a heartbeat is for whoever holds it. One thread at a time.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from firmware_protocol.codec import UnknownMessage, encode, read, render
from firmware_protocol.errors import FIRMWARE_RULES, BadFrame, HostMistake
from firmware_protocol.frames import DELIMITER, FrameDecoder, encode_frame
from firmware_protocol.handshake import why_foreign, why_unreadable
from firmware_protocol.messages import (
    Ack,
    Command,
    Event,
    Heartbeat,
    Identify,
    Identity,
    Message,
    Query,
    Sample,
    Status,
    Stream,
)
from firmware_protocol.sample_runs import SampleRuns
from firmware_protocol.schema import Direction
from firmware_protocol.session_events import (
    Answered,
    Counters,
    FrameBad,
    Happened,
    Identified,
    MessageUnknown,
    Rebooted,
    SamplesRead,
    SessionEvent,
    StatusRead,
    WrongRig,
)
from firmware_protocol.session_states import KNOWN, OUTSTANDING, TRANSITIONS, Input, State, wish_of
from firmware_protocol.vocabulary import EventCode, Result

#: Request ids count from 1 to this and begin anew; 0 is never sent, so that it can stand for "not numbered yet".
LAST_REQUEST = 255


class Session:
    """One conversation with one board, from opening the port to closing it."""

    def __init__(self) -> None:
        self._state = State.STRANGER
        self._identity: Identity | None = None
        self._outstanding: Command | None = None
        self._last_request = 0
        self._decoder = FrameDecoder()
        self._tally: Counter[str] = Counter()
        self._told: list[SessionEvent] = []
        self._runs = SampleRuns()

    @property
    def state(self) -> State:
        """Where the conversation stands."""
        return self._state

    @property
    def identity(self) -> Identity | None:
        """Who the board is, while it is known."""
        return self._identity

    @property
    def outstanding(self) -> Command | None:
        """The command that is not answered yet, with its request id."""
        return self._outstanding

    @property
    def counters(self) -> Counters:
        """What has come in so far."""
        return Counters(**self._tally)

    # --- what the host wants: bytes to send ---------------------------------------------------------------

    def request(self, command: Command) -> bytes:
        """The bytes of a command, numbered here; it is outstanding from now on.

        Raises HostMistake where the state does not allow it or a value does not fit.
        """
        wish = wish_of(command)
        if wish not in TRANSITIONS[self._state]:
            raise HostMistake(self._refusal(command))
        numbered = replace(command, request=self._last_request % LAST_REQUEST + 1)
        sent = _to_send(numbered)
        self._last_request = numbered.request
        self._move(wish)
        self._outstanding = numbered
        if isinstance(command, Stream):
            self._runs.begin_anew()  # samples switched off for a while are not lost
        return sent

    def repeat(self) -> bytes:
        """The outstanding command again, with the same request id.

        Raises HostMistake where nothing is outstanding.
        """
        if self._outstanding is None:
            raise HostMistake("there is no command to repeat: nothing is outstanding")
        return _to_send(self._outstanding)

    def give_up(self) -> None:
        """Wait no longer for the answer to what is outstanding. The board may have carried it out all the same."""
        self._move(Input.GIVE_UP)

    def heartbeat(self) -> bytes:
        """The bytes that say the host is alive; in every state."""
        return _to_send(Heartbeat())

    def _refusal(self, command: Command) -> str:
        name = type(command).__name__
        if self._outstanding is not None:
            return f"{name} must wait: {render(self._outstanding)} is not answered yet"
        return f"{name} must wait until the board has identified itself: {self._state.value}"

    # --- what the board says: events ----------------------------------------------------------------------

    def receive(self, data: bytes) -> list[SessionEvent]:
        """Take the next bytes from the board, however they are dealt out; give what they tell, in order."""
        self._tally["bytes"] += len(data)
        for found in self._decoder.feed(data):
            came = read(found, Direction.TO_HOST)
            if isinstance(came, BadFrame):
                self._bad(came)
            else:
                self._tally["frames"] += 1
                self._message(came)
        self._tell_run(self._runs.take())
        told, self._told = self._told, []
        return told

    def _tell(self, event: SessionEvent) -> None:
        """Tell an event, behind the samples that came before it."""
        self._tell_run(self._runs.take())
        self._told.append(event)

    def _tell_run(self, run: SamplesRead | None) -> None:
        if run is not None:
            self._tally["lost_samples"] += run.lost
            self._told.append(run)

    def _bad(self, report: BadFrame) -> None:
        """Report what broke a rule, except damage before the first sound frame: ports open in the middle of one."""
        if report.rule in FIRMWARE_RULES:
            self._tally["frames"] += 1
        if not self._tally["frames"]:
            self._tally["early_damage"] += 1
            return
        self._tally["bad_frames"] += 1
        self._tell(FrameBad(report))
        if isinstance(self._outstanding, Identify):
            self._foreign(why_unreadable(report, self._outstanding.request))

    def _message(self, message: Message | UnknownMessage) -> None:
        match message:
            case Sample() if self._state in KNOWN:
                self._tell_run(self._runs.add(message))
            case Ack():
                self._ack(message)
            case Event():
                self._event(message)
            case Status():
                self._status(message)
            case Identity():
                self._identity_came(message)
            case UnknownMessage():
                self._tally["unknown"] += 1
                self._tell(MessageUnknown(message.id, message.payload))

    def _ack(self, ack: Ack) -> None:
        command = self._answered(ack.request)
        if command is None:
            return
        self._move(Input.ANSWER)
        self._tell(Answered(command, ack))
        if ack.result == Result.NOT_IDENTIFIED:
            self._restarted()

    def _status(self, status: Status) -> None:
        if self._identity is None:
            return
        before = self._identity.boot_count
        if isinstance(self._outstanding, Query) and self._answered(status.request) is not None:
            self._move(Input.ANSWER)
        self._tell(StatusRead(status))
        if status.boot_count != before:
            self._restarted()

    def _identity_came(self, identity: Identity) -> None:
        if not isinstance(self._answered(identity.request), Identify):
            return
        reason = why_foreign(identity)
        if reason:
            self._foreign(reason)
            return
        self._move(Input.FITTING_IDENTITY)
        self._identity = identity
        self._runs.begin_anew()
        self._tell(Identified(identity))

    def _foreign(self, reason: str) -> None:
        if reason:
            self._move(Input.FOREIGN_IDENTITY)
            self._tell(WrongRig(reason))

    def _event(self, event: Event) -> None:
        boot = event.code == EventCode.BOOT
        if boot or self._state in KNOWN:
            self._tell(Happened(event))
        if boot:
            self._restarted()

    def _restarted(self) -> None:
        before = self._identity
        self._move(Input.RESTART)
        if before is not None:
            self._tell(Rebooted(before))

    # --- the table at work --------------------------------------------------------------------------------

    def _answered(self, request: int) -> Command | None:
        """The outstanding command if this answers it; otherwise a stray answer is counted."""
        if self._outstanding is not None and self._outstanding.request == request:
            return self._outstanding
        self._tally["stray_answers"] += 1
        return None

    def _move(self, happened: Input) -> None:
        """Go where the table says, and forget what the new state has no use for."""
        self._state = TRANSITIONS[self._state][happened]
        if self._state not in OUTSTANDING:
            self._outstanding = None
        if self._state not in KNOWN:
            self._identity = None


def _to_send(message: Command | Heartbeat) -> bytes:
    """A message's frame, with a delimiter before it as well: leftovers on the line can't spoil it."""
    return DELIMITER + encode_frame(encode(message))
