"""What the person sees of the library, from screen to screen: all that was found, the search, what is marked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tui import wording_library as words
from tui.format import fixed, with_unit
from tui.lab.shelf import reasons_set_aside
from tui.library.index import Progress, demo_folder, index
from tui.library.item import OUTCOME_WORDS, VERDICT_WORDS
from tui.library.search import Found, findable, matching
from tui.library.tags import all_tags
from tui.notes import notes_of
from tui.result_text import VERDICTS
from tui.store.place import StoreProblem
from tui.widgets.menu import Entry

#: Longest title of a row, and width of its figure [cells].
TITLE, FIGURE = 34, 9


@dataclass(frozen=True, slots=True)
class Shelves:
    """All that is known: own recordings, demonstration ones, how many results are still to come, and sentences."""

    own: tuple[Found, ...] = ()
    demo: tuple[Found, ...] = ()
    waiting: int = 0
    problem: str = ""

    @property
    def all(self) -> tuple[Found, ...]:
        """Everything."""
        return (*self.own, *self.demo)


@dataclass(slots=True)
class View:
    """The library as the person left it."""

    shelves: Shelves = field(default_factory=Shelves)
    query: str = ""
    #: Paths of what is marked, in the order in which it was.
    marked: list[str] = field(default_factory=list)

    def shown(self) -> tuple[list[Found], list[Found]]:
        """Own and demonstration recordings that the search means."""
        return matching(self.shelves.own, self.query), matching(self.shelves.demo, self.query)

    def chosen(self) -> list[Path]:
        """What an export takes: what is marked, else all that is shown."""
        if self.marked:
            return [Path(path) for path in self.marked]
        own, demo = self.shown()
        return [Path(found.item.path) for found in (own or demo)]

    def mark(self, path: str) -> None:
        """Mark a recording, or unmark it."""
        if path in self.marked:
            self.marked.remove(path)
        else:
            self.marked.append(path)


def read_shelves(folder: Path, cancelled: Callable[[], bool], *, anew: bool = False) -> Iterator[Shelves]:
    """All that there is, growing as it becomes known. Blocks."""
    tags, aside, problem = _beside()
    own: Progress = Progress((), 0)
    demo_items: tuple[Found, ...] = ()

    def shelves(found: tuple[Found, ...], waiting: int) -> Shelves:
        return Shelves(found, demo_items, waiting, own.problem or problem)

    found: tuple[Found, ...] = ()
    for own in index(folder, cancelled, anew=anew):
        found = _findable(own, tags, aside)
        yield shelves(found, own.waiting)
    for demo in index(demo_folder(), cancelled, anew=anew):
        demo_items = _findable(demo, tags, aside)
        yield shelves(found, demo.waiting)


def _beside() -> tuple[dict[str, tuple[str, ...]], dict[str, str], str]:
    """Tags, reasons why pulls do not count, and a sentence where they can't be read."""
    try:
        return all_tags(), reasons_set_aside(), ""
    except StoreProblem as problem:
        return {}, {}, f"{problem}."


def _findable(progress: Progress, tags: dict[str, tuple[str, ...]], aside: dict[str, str]) -> tuple[Found, ...]:
    return tuple(
        findable(
            item,
            tags.get(Path(item.path).name, ()) if tags else (),
            notes_of(Path(item.path)) if item.path in progress.noted else (),
            aside.get(item.path, ""),
        )
        for item in progress.items
    )


def entry_of(found: Found, mark: str) -> Entry:
    """A recording as a row: when and whose, then what it gave, then what it was."""
    item = found.item
    when = item.recorded_at[:10]
    who = item.reference or item.history
    title = f"{when}  {who}" if when and who else item.name
    return Entry(item.path, f"{mark}{title}"[:TITLE], _about(found))


def _about(found: Found) -> str:
    item = found.item
    if item.problem:
        return f"{words.DAMAGED}: {item.problem}"
    sign = VERDICTS[item.verdict][0] if item.verdict in VERDICTS else words.NO_RESULT_YET
    figure = "" if item.elongation_pct is None else with_unit(fixed(item.elongation_pct, 1), "%")
    said = [item.zone, item.history if item.reference else "", item.condition]
    said += [] if item.outcome in ("", "broke") else [OUTCOME_WORDS.get(item.outcome, item.outcome)]
    said += [VERDICT_WORDS[item.verdict]] if item.verdict in VERDICT_WORDS else []
    said += [f"{words.REJECTED} ({found.aside})"] if found.aside else []
    said += [words.SIMULATED] if item.simulated else []
    said += [f"#{tag}" for tag in found.tags]
    return f"{sign} {figure:>{FIGURE}}  {', '.join(filter(None, said))}"
