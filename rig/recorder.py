"""Sample batches and marks into a recording, and the running figures of a pull that come with them.

Owns what is written when: rows as they come, a gap mark before rows that follow on a loss. Knows no threads
and no rig; used alike by a rig that speaks the wire and by a board that prints lines.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from recordings.format import Header, JsonValue
from recordings.writer import RecordingFailed as CannotWrite
from recordings.writer import RecordingWriter, new_path
from rig.errors import RecordingFailed
from rig.samples import SampleBatch


class Recorder:
    """One recording being made; belongs to one thread. Its methods raise RecordingFailed."""

    def __init__(self, directory: Path, header: Header) -> None:
        try:
            directory.mkdir(parents=True, exist_ok=True)
            self._writer = RecordingWriter(new_path(directory, header), header)
        except (CannotWrite, OSError) as problem:
            raise RecordingFailed(_sentence(problem, directory)) from problem
        self.path = self._writer.path
        self.first_t_us: int | None = None
        self.last_t_us: int | None = None
        self.lost = 0
        self.ended = False
        self._failure: RecordingFailed | None = None

    @property
    def rows(self) -> int:
        """Rows written so far."""
        return self._writer.row_count

    @property
    def t_s(self) -> float | None:
        """Board time from the first row to the last [s]."""
        if self.first_t_us is None or self.last_t_us is None:
            return None
        return (self.last_t_us - self.first_t_us) / 1e6

    def add(self, batch: SampleBatch) -> None:
        """Write a batch, with a gap mark before it where something was lost."""
        if batch.lost:
            self.lost += batch.lost
            self.mark("gap", lost=batch.lost)
        if not len(batch):
            return
        if self.first_t_us is None:
            self.first_t_us = batch.t_us[0]
        self.last_t_us = batch.t_us[-1]
        with self._telling():
            self._writer.rows(batch.t_us, batch.counts, batch.steps, batch.flags)

    def mark(self, kind: str, text: str = "", **data: JsonValue) -> None:
        """Write a mark between the rows."""
        with self._telling():
            self._writer.mark(kind, t_us=self.last_t_us, text=text, data=data)

    def finish(self, reason: str) -> None:
        """Write the end line and close; a second call does nothing."""
        if self.ended:
            return
        self.ended = True
        with self._telling():
            self._writer.finish(reason)

    @contextmanager
    def _telling(self) -> Iterator[None]:
        """What went wrong first is what is told, however often it is tried again."""
        if self._failure:
            raise self._failure
        try:
            yield
        except (CannotWrite, OverflowError) as problem:
            self._failure = RecordingFailed(_sentence(problem, self.path))
            raise self._failure from problem


def _sentence(problem: Exception, place: Path) -> str:
    if isinstance(problem, CannotWrite):
        return f"{problem}."
    return f"{place} can't be written ({problem}): choose another folder."
