"""Samples gathered into runs without a gap, and what was lost between them counted by their numbers."""

from __future__ import annotations

from firmware_protocol.messages import Sample
from firmware_protocol.session_events import SamplesRead

#: Sample numbers wrap here.
SEQ_MODULUS = 1 << 16


def lost_between(before: int, after: int) -> int:
    """How many samples are missing between two that follow on each other, by their numbers."""
    return (after - before - 1) % SEQ_MODULUS


class SampleRuns:
    """Gathers samples; a run ends where one is missing, or when it is taken."""

    def __init__(self) -> None:
        self._run: list[Sample] = []
        self._lost = 0
        self._last_seq: int | None = None

    def add(self, sample: Sample) -> SamplesRead | None:
        """Add a sample; give the run that it ends, if it does not follow on it."""
        ended = None
        lost = 0 if self._last_seq is None else lost_between(self._last_seq, sample.seq)
        if lost:
            ended = self.take()
            self._lost = lost
        self._last_seq = sample.seq
        self._run.append(sample)
        return ended

    def take(self) -> SamplesRead | None:
        """Give the run so far, if there is one; the next sample may still follow on it without a loss."""
        if not self._run:
            return None
        run = SamplesRead(tuple(self._run), self._lost)
        self._run, self._lost = [], 0
        return run

    def begin_anew(self) -> None:
        """The next sample follows on nothing: its number says nothing about a loss."""
        self._last_seq = None
