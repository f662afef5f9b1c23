"""The series that is being worked on: every change is kept before it counts as done.

Holds the newest value in memory as well, so that nothing is lost while the disk is full: the change is there, it is
said that it could not be kept, and the next change keeps both.
"""

from __future__ import annotations

from collections.abc import Callable

from tui.lab import shelf
from tui.lab.plan import Plan
from tui.lab.progress import Results
from tui.store.place import StoreProblem


class Desk:
    """One series at a time."""

    def __init__(self) -> None:
        self.plan: Plan | None = None
        #: What the recordings of all series of this session gave.
        self.results = Results()

    def take(self, plan: Plan) -> None:
        """Work on a series that was kept."""
        self.plan = plan

    def open(self, plan: Plan) -> str:
        """Work on a series and keep it; a sentence where it could not be kept."""
        self.plan = plan
        return self._keep(plan)

    def change(self, how: Callable[[Plan], Plan]) -> str:
        """Change the series and keep it; a sentence where it could not be kept. Raises what `how` raises."""
        assert self.plan is not None
        self.plan = how(self.plan)
        return self._keep(self.plan)

    def _keep(self, plan: Plan) -> str:
        try:
            shelf.keep(plan)
        except StoreProblem as problem:
            return f"{problem}."
        return ""
