"""What the screens of a series have in common: the series, and keeping what is changed in it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from tui import wording_lab as words
from tui.lab.plan import NotNow, Plan
from tui.screens.frame import FrameScreen

if TYPE_CHECKING:
    from tui.lab.desk import Desk


class SeriesFrame(FrameScreen):
    """A screen that works on one series."""

    STEPS = words.STEPS

    @property
    def desk(self) -> Desk:
        """Where the series lies."""
        return self.bench_app.series

    @property
    def plan(self) -> Plan:
        """The series as it is now."""
        assert self.desk.plan is not None
        return self.desk.plan

    def change(self, how: Callable[[Plan], Plan]) -> str | None:
        """Change the series and keep it; a sentence where it could not be kept, None where it could not be done."""
        try:
            return self.desk.change(how)
        except NotNow as reason:
            self.tell(str(reason), bad=True)
            return None
