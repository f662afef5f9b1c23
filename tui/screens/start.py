"""The first question: what the person is here for."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from tui import wording
from tui.journeys import JOURNEYS
from tui.messages import UnderWay, WentWrong
from tui.screens.frame import FrameScreen
from tui.widgets.menu import Entry, Menu


class StartScreen(FrameScreen):
    """Choose a journey."""

    QUESTION = wording.START_QUESTION
    ABOUT = "start"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("q", "app.leave", wording.LEAVE, show=False)]

    def parts(self) -> Iterable[Widget]:
        """The list."""
        entries = [Entry(journey.key, journey.title, journey.about) for journey in JOURNEYS]
        yield Menu(self.bench_app.signs, entries, id="journeys")

    def on_mount(self) -> None:
        """Begin with the list."""
        self.query_one(Menu).focus()
        self._say(())
        self.background(under_way)

    def _say(self, sentences: tuple[str, ...]) -> None:
        no_rig = () if self.bench_app.bench.stretcher is not None else (wording.START_NO_RIG,)
        self.tell(" ".join((*sentences, *no_rig)))

    def on_under_way(self, message: UnderWay) -> None:
        """Offer to go on."""
        self._say(message.sentences)

    def failed(self, message: WentWrong) -> None:
        """What is under way can't be read; it is said where it is asked for."""

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Set out."""
        journey = next(one for one in JOURNEYS if one.key == message.key)
        if journey.needs_rig:
            self.bench_app.go_with_rig(journey.screen)
        else:
            self.bench_app.go(journey.screen)


def under_way() -> UnderWay:
    """What can be gone on with. Blocks."""
    sentences = (journey.waiting() for journey in JOURNEYS)
    return UnderWay(tuple(sentence for sentence in sentences if sentence))
