"""What people come to the bench for: the list that the start screen shows. A new journey is one more line here.

A journey knows its first screen by name. One that `needs_rig` comes to it over the choice of a rig and the cautions
where they are still to come; any other goes there at once, and asks for a rig when it wants one
(`StrandbenchApp.go_with_rig`).
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass

from tui import wording, wording_checkup, wording_lab, wording_lesson


@dataclass(frozen=True, slots=True)
class Journey:
    """One answer to "What are you here for?"."""

    key: str
    title: str
    about: str
    screen: str
    needs_rig: bool = False
    #: Where a function is that says what is under way, as "module:name"; it may read files. "" for none.
    under_way: str = ""

    def waiting(self) -> str:
        """A sentence about what is under way and can be gone on with; "" where nothing is. Blocks."""
        if not self.under_way:
            return ""
        module, _, name = self.under_way.partition(":")
        return str(getattr(importlib.import_module(module), name)())


JOURNEYS = (
    Journey(
        "check", wording.START_CHECK, wording.START_CHECK_ABOUT, "check", under_way="tui.check.under_way:sentence"
    ),
    Journey("pull", wording.START_PULL, wording.START_PULL_ABOUT, "strand", needs_rig=True),
    Journey("lesson", wording_lesson.START_LESSON, wording_lesson.START_LESSON_ABOUT, "lesson"),
    Journey(
        "series", wording_lab.START, wording_lab.START_ABOUT, "series_list", under_way="tui.lab.under_way:sentence"
    ),
    Journey("checkup", wording_checkup.START, wording_checkup.START_ABOUT, "checkup", needs_rig=True),
    Journey("library", wording.START_LIBRARY, wording.START_LIBRARY_ABOUT, "library"),
)
