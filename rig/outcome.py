"""How a pull ended: the recording, its end reason, and one sentence for the person. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from firmware_protocol.vocabulary import StopReason, meaning
from rig.errors import ADVICE, BoardRestarted, LinkLost, NoAnswer, RigError
from rig.limits import END_REASONS, Trip

#: End reasons after which a pull counts as carried out: there is something to evaluate and nothing to repair.
AS_PLANNED = frozenset({"break", "done", "travel_limit"})

SENTENCES: dict[str, str] = {
    "break": "The strand broke, and the motor stands.",
    "done": "The pull is done, and the motor stands.",
    "travel_limit": "The strand did not break within the travel, and the motor stands.",
    "key": "The pull was stopped by the person.",
    "silence": "The rig or this program fell silent, and the board stopped the motor.",
    "board_reset": "The board was restarted during the pull: check its power supply.",
    "link_lost": "The port was lost during the pull: check the cable; the board stops the motor by itself.",
}

#: Added where the board did not confirm that the motor stands.
NOT_CONFIRMED = (
    " The board did not confirm that the motor stands: it stops by itself half a second after it last heard this "
    "program; look, and press the emergency stop if it does not."
)


@dataclass(frozen=True, slots=True)
class PullOutcome:
    """A finished pull. `motor_confirmed` says whether the board itself said that the motor stands."""

    path: Path
    end_reason: str
    message: str
    rows: int
    lost: int
    motor_confirmed: bool = True

    @property
    def as_planned(self) -> bool:
        """Whether the pull was carried out: broke, or reached the end that was asked for."""
        return self.end_reason in AS_PLANNED


def trip_of_board(reason: StopReason) -> Trip:
    """The board stopped the motor: what that means for the recording, and the sentence."""
    end = END_REASONS.get(reason, "error")
    if end in SENTENCES:
        return Trip(end, SENTENCES[end])
    return Trip(end, f"The motor stopped since {meaning(reason)}: {ADVICE[reason]}.")


def trip_of_error(problem: RigError) -> Trip:
    """Something went wrong during the pull."""
    if isinstance(problem, LinkLost):
        return Trip("link_lost", str(problem))
    if isinstance(problem, BoardRestarted):
        return Trip("board_reset", SENTENCES["board_reset"])
    if isinstance(problem, NoAnswer):
        return Trip("silence", str(problem))
    return Trip("error", str(problem))
