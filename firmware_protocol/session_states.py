"""The states of a session, as a table, and the rules it stands for.

Rules
-----
1. A board is a stranger until it has answered Identify with this program's protocol version and message table.
   To a stranger only Identify and Stop are sent, and of a stranger only Identity, answers and BOOT are heard.
2. One command is outstanding at a time. It stays so until its answer comes, or the host gives it up; until
   then it can be repeated with its own request id, which makes it safe to repeat.
3. Stop may be sent in every state. It takes the place of an outstanding command, whose answer is then no
   longer waited for.
4. A board that has restarted is a stranger again, however that was learned: its BOOT event, another boot count,
   or that it says the host has not identified itself. Only a Stop stays outstanding: it must reach the motor.
5. A board of another version or table stays foreign until Identify finds it otherwise. It can still be stopped.
6. Identify starts over: what was known of the board is forgotten when it is sent.
7. A heartbeat may be sent in every state, and changes none.

A pair of state and input that is not in the table: the host's wish is refused (HostMistake), what came
from the board is not for this state (an answer to nothing) and changes nothing.
"""

from __future__ import annotations

import enum

from firmware_protocol.messages import Command, Identify, Stop


class State(enum.Enum):
    """Where a session stands; the value is how a person reads it."""

    STRANGER = "the board is not known yet"
    ASKING = "the board was asked who it is"
    FOREIGN = "the board does not fit this program"
    READY = "the board is known and waits for a command"
    WAITING = "a command was sent and not answered yet"
    STOPPING = "Stop was sent and not answered yet"
    STOPPING_STRANGER = "Stop was sent to a board that is not known, and not answered yet"
    STOPPING_FOREIGN = "Stop was sent to a board that does not fit, and not answered yet"


class Input(enum.Enum):
    """What can move a session on; the value is how a person reads it."""

    SEND_IDENTIFY = "the host sends Identify"
    SEND_COMMAND = "the host sends another command"
    SEND_STOP = "the host sends Stop"
    GIVE_UP = "the host gives up waiting"
    FITTING_IDENTITY = "Identity of a board that fits"
    FOREIGN_IDENTITY = "Identity of a board that does not fit"
    ANSWER = "any other answer to what is outstanding"
    RESTART = "the board has restarted"


TRANSITIONS: dict[State, dict[Input, State]] = {
    State.STRANGER: {
        Input.SEND_IDENTIFY: State.ASKING,
        Input.SEND_STOP: State.STOPPING_STRANGER,
        Input.GIVE_UP: State.STRANGER,
        Input.RESTART: State.STRANGER,
    },
    State.ASKING: {
        Input.SEND_STOP: State.STOPPING_STRANGER,
        Input.GIVE_UP: State.STRANGER,
        Input.FITTING_IDENTITY: State.READY,
        Input.FOREIGN_IDENTITY: State.FOREIGN,
        Input.ANSWER: State.STRANGER,
        Input.RESTART: State.ASKING,
    },
    State.FOREIGN: {
        Input.SEND_IDENTIFY: State.ASKING,
        Input.SEND_STOP: State.STOPPING_FOREIGN,
        Input.GIVE_UP: State.FOREIGN,
        Input.RESTART: State.STRANGER,
    },
    State.READY: {
        Input.SEND_IDENTIFY: State.ASKING,
        Input.SEND_COMMAND: State.WAITING,
        Input.SEND_STOP: State.STOPPING,
        Input.GIVE_UP: State.READY,
        Input.RESTART: State.STRANGER,
    },
    State.WAITING: {
        Input.SEND_STOP: State.STOPPING,
        Input.GIVE_UP: State.READY,
        Input.ANSWER: State.READY,
        Input.RESTART: State.STRANGER,
    },
    State.STOPPING: {
        Input.SEND_STOP: State.STOPPING,
        Input.GIVE_UP: State.READY,
        Input.ANSWER: State.READY,
        Input.RESTART: State.STOPPING_STRANGER,
    },
    State.STOPPING_STRANGER: {
        Input.SEND_STOP: State.STOPPING_STRANGER,
        Input.GIVE_UP: State.STRANGER,
        Input.ANSWER: State.STRANGER,
        Input.RESTART: State.STOPPING_STRANGER,
    },
    State.STOPPING_FOREIGN: {
        Input.SEND_STOP: State.STOPPING_FOREIGN,
        Input.GIVE_UP: State.FOREIGN,
        Input.ANSWER: State.FOREIGN,
        Input.RESTART: State.STOPPING_STRANGER,
    },
}

#: States in which the board is known, so that commands may go out and everything it says is heard.
KNOWN = frozenset({State.READY, State.WAITING, State.STOPPING})

#: States with something outstanding.
OUTSTANDING = frozenset(
    {State.ASKING, State.WAITING, State.STOPPING, State.STOPPING_STRANGER, State.STOPPING_FOREIGN}
)


def wish_of(command: Command) -> Input:
    """What sending a command is to the table."""
    if isinstance(command, Identify):
        return Input.SEND_IDENTIFY
    return Input.SEND_STOP if isinstance(command, Stop) else Input.SEND_COMMAND
