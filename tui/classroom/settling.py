"""A round of guesses meets its recording: which round it is, what was measured, and when it can't be settled."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from tui import wording_guesses as wording
from tui.classroom.guesses import Outcome, Round, keep_outcome, read_book
from tui.format import OUTCOMES
from tui.safe_text import clean


def is_awaited(now: datetime | None = None) -> bool:
    """Whether guesses wait for a pull. A log that can't be read is said where the guesses are shown."""
    from tui.store.place import StoreProblem

    try:
        return read_book().open_round(now or datetime.now().astimezone()) is not None
    except StoreProblem:
        return False


def settled(path: Path, now: datetime | None = None) -> tuple[Round | None, str]:
    """The round that belongs to a recording, with its outcome, or the sentence why there is none.

    A recording that settled a round before shows that round; else the open round is settled with it, and that is
    written down. Blocks, since the recording is analysed. Raises StoreProblem, and what the analysis raises.
    """
    when, book = now or datetime.now().astimezone(), read_book()
    name = str(path.absolute())
    known = [one for one in book.rounds if one.outcome is not None and one.outcome.recording == name]
    if known:
        return known[-1], ""
    waiting = book.open_round(when)
    if waiting is None or recorded_at(path) < waiting.guesses[-1].when.replace(microsecond=0):
        return None, wording.NO_ROUND
    return _settle(waiting, path, when)


def recorded_at(path: Path) -> datetime:
    """When a recording was begun. Raises what the reader raises, and ValueError for a time that is none."""
    from recordings.reader import read_recording

    return datetime.fromisoformat(read_recording(path).header.recorded_at).astimezone()


def _settle(waiting: Round, path: Path, when: datetime) -> tuple[Round | None, str]:
    from analysis.results import Measured
    from tui.analysing import analyse_file

    result = analyse_file(path)
    broke = result.elongation_at_break_pct
    if not isinstance(broke, Measured):
        return None, wording.NOT_SETTLED.format(reason=clean(OUTCOMES[result.outcome]))
    keep_outcome(Outcome(waiting.name, when, str(path.absolute()), broke.value, broke.u))
    return read_book().round_named(waiting.name), ""
