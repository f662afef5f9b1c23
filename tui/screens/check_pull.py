"""One pull of the check, and the way back of the stage before it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from tui import wording_check as words
from tui.check.card import Card
from tui.check.course import Check, NotNow, with_pull
from tui.messages import WentWrong
from tui.screens.move_back import MoveBackScreen
from tui.screens.pull import PullScreen
from tui.strand_form import StrandForm, specimen_of

if TYPE_CHECKING:
    from recordings.format import Specimen
    from rig.outcome import PullOutcome


class CheckPullScreen(PullScreen):
    """Pull the next strand of the check."""

    STEPS = words.STEPS
    STEP = 3
    ABOUT = "check_pull"

    @property
    def _card(self) -> Card:
        card = self.bench_app.desk.card
        assert card is not None
        return card

    @property
    def _check(self) -> Check:
        assert self._card.check is not None
        return self._card.check

    @property
    def _number(self) -> int:
        """The strand that is pulled."""
        number = self._check.next_strand
        assert number is not None
        return number

    @property
    def form(self) -> StrandForm:
        """What the check says of the strand; the diameter only of an invented one, which has one."""
        own_rig, check = self.bench_app.bench.own_rig, self._check
        return StrandForm(
            reference=self._card.reference,
            zone=check.planned[self._number - 1],
            history=self._card.history,
            condition=check.condition,
            gauge_length=f"{check.gauge_length_mm:g}",
            diameter=own_rig.next_form().diameter if own_rig is not None else "",
        )

    def specimen(self) -> Specimen:
        """The strand, and the check that it belongs to."""
        return replace(specimen_of(self.form), series=self._check.series, strand=str(self._number))

    def on_mount(self) -> None:
        """Say which strand it is."""
        self._ask_for_it()

    def _ask_for_it(self) -> None:
        zone = self._check.planned[self._number - 1]
        self.ask(words.PULL_QUESTION.format(number=self._number, zone=zone))

    def failed(self, message: WentWrong) -> None:
        """The pull did not come to a recording."""
        super().failed(message)
        self._ask_for_it()

    def ended(self, outcome: PullOutcome) -> None:
        """The recording is there: keep it with the check, and go on."""
        desk = self.bench_app.desk
        at = desk.clock()

        def pulled(card: Card) -> Card:
            assert card.check is not None
            return replace(card, check=with_pull(card.check, str(outcome.path.absolute()), at))

        try:
            problem = desk.change(pulled)
        except NotNow as reason:  # another program has changed the card meanwhile; the recording is in the folder
            problem = str(reason)
        self.bench_app.go("check_strands", False, problem or outcome.message)

    def action_back(self) -> None:
        """Back to the strands."""
        self.bench_app.go("check_strands")


class CheckBackScreen(MoveBackScreen):
    """Move the stage back before the next strand."""

    STEPS = words.STEPS
    ABOUT = "check_back"
    NEXT: ClassVar[str] = "check_pull"
