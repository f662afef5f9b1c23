"""What threads tell the screens. Every message is posted from outside the screen's own thread."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.message import Message

if TYPE_CHECKING:
    from pathlib import Path

    from rig.outcome import PullOutcome
    from tui.classroom.guesses import Round
    from tui.classroom.scores import Term
    from tui.classroom.series import Reel
    from tui.shown_result import ShownResult


class SnapshotReady(Message, bubble=False):
    """There is something new in the feed; one that is not handled yet stands for all that follow."""

    def can_replace(self, message: Message) -> bool:
        """A newer one says the same."""
        return isinstance(message, SnapshotReady)


class Connected(Message, bubble=False):
    """The rig answers."""


class WentWrong(Message, bubble=False):
    """What was tried in a thread did not work; the text is a sentence for the person."""

    def __init__(self, sentence: str, *, needs_clearing: bool = False) -> None:
        super().__init__()
        self.sentence = sentence
        #: The rig holds its motor for a reason that a person must have looked at.
        self.needs_clearing = needs_clearing


class PullEnded(Message, bubble=False):
    """A pull has its recording, and the motor stands as far as is known."""

    def __init__(self, outcome: PullOutcome) -> None:
        super().__init__()
        self.outcome = outcome


class MovedBack(Message, bubble=False):
    """The stage is back where it began."""


class ResultReady(Message, bubble=False):
    """A recording was analysed."""

    def __init__(self, shown: ShownResult) -> None:
        super().__init__()
        self.shown = shown


class FolderRead(Message, bubble=False):
    """The recordings of a folder are known."""

    def __init__(self, own: tuple[Path, ...], demo: tuple[Path, ...]) -> None:
        super().__init__()
        self.own, self.demo = own, demo


class PortsFound(Message, bubble=False):
    """The serial ports of this computer: device and description of each, as text fit for the screen."""

    def __init__(self, ports: tuple[tuple[str, str], ...]) -> None:
        super().__init__()
        self.ports = ports


class UnderWay(Message, bubble=False):
    """What was begun earlier and can be gone on with: sentences."""

    def __init__(self, sentences: tuple[str, ...]) -> None:
        super().__init__()
        self.sentences = sentences


class ReelReady(Message, bubble=False):
    """Recordings can be played."""

    def __init__(self, reel: Reel) -> None:
        super().__init__()
        self.reel = reel


class Settled(Message, bubble=False):
    """A round of guesses has its measurement, or the sentence says why it has none."""

    def __init__(self, one: Round | None, problem: str) -> None:
        super().__init__()
        self.round, self.problem = one, problem


class TermReady(Message, bubble=False):
    """Every student's guesses over the term."""

    def __init__(self, terms: tuple[Term, ...], problem: str) -> None:
        super().__init__()
        self.terms, self.problem = terms, problem
