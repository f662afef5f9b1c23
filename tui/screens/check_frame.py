"""What the screens of the strength check and the card have in common: the card, keeping, judging, its page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message

from tui import wording, wording_card, wording_check
from tui.check.course import Check, NotNow
from tui.safe_text import clean
from tui.screens.frame import FrameScreen

if TYPE_CHECKING:
    from tui.check.card import Card
    from tui.check.desk import Desk
    from tui.check.judged import Judged

#: Folder for pages, in the one for recordings.
PAGES = "cards"

#: Longest name of a folder that is shown [characters].
LONGEST_FOLDER = 200


class JudgedReady(Message, bubble=False):
    """The pulls of the check were judged."""

    def __init__(self, judged: Judged | None) -> None:
        super().__init__()
        self.judged = judged


class PageSaved(Message, bubble=False):
    """The page was saved."""

    def __init__(self, paths: list[Path]) -> None:
        super().__init__()
        self.paths = paths


class CheckScreen(FrameScreen):
    """A screen that works on one client's card."""

    CSS_PATH = "check.tcss"
    STEPS = wording_check.STEPS
    BINDINGS: ClassVar[list[BindingType]] = [Binding("q", "app.leave", wording.LEAVE, show=False)]

    @property
    def desk(self) -> Desk:
        """Where the card lies."""
        return self.bench_app.desk

    @property
    def card(self) -> Card:
        """The card as it is now."""
        assert self.desk.card is not None
        return self.desk.card

    @property
    def check(self) -> Check:
        """The strength check on the card."""
        assert self.card.check is not None
        return self.card.check

    def change(self, how: Callable[[Card], Card]) -> bool:
        """Change the card and keep it; say why where that can't be. Whether it was changed."""
        try:
            problem = self.desk.change(how)
        except NotNow as reason:
            self.tell(clean(str(reason), 400), bad=True)
            return False
        if problem:
            self.tell(problem, bad=True)
        return True

    def judge(self) -> None:
        """Work the results out beside the screen."""
        card, known = self.card, self.desk.known

        def work() -> JudgedReady:
            from tui.reports.paper import judged_of

            return JudgedReady(judged_of(card, known))

        self.background(work)

    def action_save_page(self) -> None:
        """Save the page of the card in every form."""
        card, known, moment = self.card, self.desk.known, self.desk.clock()
        folder = self.bench_app.bench.directory / PAGES
        self.tell(wording_card.PAGE_SAVING)

        def work() -> PageSaved:
            from tui.reports.paper import paper_of, save_all

            return PageSaved(save_all(paper_of(card, moment, known), folder))

        self.background(work)

    def on_page_saved(self, message: PageSaved) -> None:
        """Say where it is."""
        names = ", ".join(clean(path.name) for path in message.paths)
        folder = clean(str(message.paths[0].parent), LONGEST_FOLDER)
        self.tell(wording_card.PAGE_SAVED.format(names=names, folder=folder))
