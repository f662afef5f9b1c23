"""The session against its table: every state with every input, driven by real bytes and real calls."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest

from firmware_protocol.codec import table_crc
from firmware_protocol.errors import HostMistake
from firmware_protocol.messages import Ack, Event, Identify, Identity, Query, Stop, Zero
from firmware_protocol.session import Session
from firmware_protocol.session_states import KNOWN, OUTSTANDING, TRANSITIONS, Input, State
from firmware_protocol.vocabulary import PROTOCOL_VERSION, EventCode, Result
from tests.firmware_protocol.streams import wire


def identity(session: Session, protocol: int = PROTOCOL_VERSION) -> bytes:
    request = session.outstanding.request if session.outstanding else 77
    return wire(Identity(request, protocol, table_crc(), 1, 9, 1, 0, 24, 80_000, 800_000, 1, 1, 1, 1, "rig"))


def answer(session: Session) -> bytes:
    request = session.outstanding.request if session.outstanding else 77
    return wire(Ack(request, Result.OK))


#: How each input is brought about.
DO: dict[Input, Callable[[Session], object]] = {
    Input.SEND_IDENTIFY: lambda s: s.request(Identify(0, PROTOCOL_VERSION)),
    Input.SEND_COMMAND: lambda s: s.request(Zero(0)),
    Input.SEND_STOP: lambda s: s.request(Stop(0)),
    Input.GIVE_UP: lambda s: s.give_up(),
    Input.FITTING_IDENTITY: lambda s: s.receive(identity(s)),
    Input.FOREIGN_IDENTITY: lambda s: s.receive(identity(s, protocol=99)),
    Input.ANSWER: lambda s: s.receive(answer(s)),
    Input.RESTART: lambda s: s.receive(wire(Event(EventCode.BOOT, 0, 0, 0))),
}

#: A way to each state.
WAY: dict[State, tuple[Input, ...]] = {
    State.STRANGER: (),
    State.ASKING: (Input.SEND_IDENTIFY,),
    State.FOREIGN: (Input.SEND_IDENTIFY, Input.FOREIGN_IDENTITY),
    State.READY: (Input.SEND_IDENTIFY, Input.FITTING_IDENTITY),
    State.WAITING: (Input.SEND_IDENTIFY, Input.FITTING_IDENTITY, Input.SEND_COMMAND),
    State.STOPPING: (Input.SEND_IDENTIFY, Input.FITTING_IDENTITY, Input.SEND_COMMAND, Input.SEND_STOP),
    State.STOPPING_STRANGER: (Input.SEND_STOP,),
    State.STOPPING_FOREIGN: (Input.SEND_IDENTIFY, Input.FOREIGN_IDENTITY, Input.SEND_STOP),
}


def session_in(state: State) -> Session:
    session = Session()
    for step in WAY[state]:
        DO[step](session)
    assert session.state is state
    return session


#: The whole table once more, written by hand: a letter a state, in the order of the columns of `INPUTS`.
#: "." stands for refused (what the host wants) or without effect (what the board says).
INPUTS = (
    Input.SEND_IDENTIFY, Input.SEND_COMMAND, Input.SEND_STOP, Input.GIVE_UP,
    Input.FITTING_IDENTITY, Input.FOREIGN_IDENTITY, Input.ANSWER, Input.RESTART,
)  # fmt: skip
LETTER = dict(zip("SAFRWTUV", State, strict=True))
BY_HAND = {
    State.STRANGER: "A.US...S",
    State.ASKING: "..USRFSA",
    State.FOREIGN: "A.VF...S",
    State.READY: "AWTR...S",
    State.WAITING: "..TR..RS",
    State.STOPPING: "..TR..RU",
    State.STOPPING_STRANGER: "..US..SU",
    State.STOPPING_FOREIGN: "..VF..FU",
}


@pytest.mark.parametrize(("state", "happens"), product(State, Input), ids=lambda v: v.name)
def test_every_state_with_every_input(state: State, happens: Input) -> None:
    session = session_in(state)
    letter = BY_HAND[state][INPUTS.index(happens)]
    expected = LETTER.get(letter)
    assert TRANSITIONS[state].get(happens) is expected
    outstanding = session.outstanding
    if expected is None and happens.name.startswith("SEND"):
        with pytest.raises(HostMistake, match="must wait"):
            DO[happens](session)
    else:
        DO[happens](session)
    assert session.state is (expected or state)
    assert (session.identity is not None) == (session.state in KNOWN)
    assert (session.outstanding is not None) == (session.state in OUTSTANDING)
    if expected is None:
        assert session.outstanding == outstanding


@pytest.mark.parametrize("state", State)
def test_stop_and_heartbeat_are_sent_in_every_state(state: State) -> None:
    session = session_in(state)
    assert session.heartbeat() == bytes.fromhex("000402c1b200")
    assert session.state is state
    session.request(Stop(0))
    assert isinstance(session.outstanding, Stop)


@pytest.mark.parametrize("state", sorted(set(State) - OUTSTANDING, key=lambda s: s.name))
def test_there_is_nothing_to_repeat_where_nothing_is_outstanding(state: State) -> None:
    with pytest.raises(HostMistake, match="nothing is outstanding"):
        session_in(state).repeat()


@pytest.mark.parametrize("state", sorted(OUTSTANDING, key=lambda s: s.name))
def test_an_answer_to_something_else_changes_nothing(state: State) -> None:
    session = session_in(state)
    assert session.receive(wire(Ack(200, Result.OK))) == []
    assert session.state is state
    assert session.counters.stray_answers == 1


@pytest.mark.parametrize("state", sorted(set(State) - KNOWN, key=lambda s: s.name))
def test_a_query_needs_a_known_board(state: State) -> None:
    with pytest.raises(HostMistake):
        session_in(state).request(Query(0))
