"""What people come to the bench for: the list that the start screen shows. A new journey is one more line here.

A journey knows its first screen by name. One that `needs_rig` comes to it over the choice of a rig and the cautions
where they are still to come; any other goes there at once, and asks for a rig when it wants one
(`StrandbenchApp.go_with_rig`).
"""

from __future__ import annotations

from dataclasses import dataclass

from tui import wording, wording_lesson


@dataclass(frozen=True, slots=True)
class Journey:
    """One answer to "What are you here for?"."""

    key: str
    title: str
    about: str
    screen: str
    needs_rig: bool = False


JOURNEYS = (
    Journey("pull", wording.START_PULL, wording.START_PULL_ABOUT, "strand", needs_rig=True),
    Journey("lesson", wording_lesson.START_LESSON, wording_lesson.START_LESSON_ABOUT, "lesson"),
    Journey("library", wording.START_LIBRARY, wording.START_LIBRARY_ABOUT, "library"),
)
