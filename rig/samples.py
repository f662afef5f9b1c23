"""Samples as they leave the reader: unwrapped, in batches, with what was lost in between counted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SampleBatch:
    """Samples in order, equal lengths. `t_us` is unwrapped board time [us]; `lost` were lost just before it."""

    t_us: tuple[int, ...]
    counts: tuple[int, ...]
    steps: tuple[int, ...]
    flags: tuple[int, ...]
    lost: int = 0

    def __len__(self) -> int:
        return len(self.t_us)


def joined(batches: Iterable[SampleBatch]) -> tuple[SampleBatch, ...]:
    """The same samples in as few batches as there are losses between them."""
    groups: list[list[SampleBatch]] = []
    for batch in batches:
        if groups and not batch.lost:
            groups[-1].append(batch)
        else:
            groups.append([batch])
    return tuple(group[0] if len(group) == 1 else _join(group) for group in groups)


def _join(group: list[SampleBatch]) -> SampleBatch:
    return SampleBatch(
        tuple(t for batch in group for t in batch.t_us),
        tuple(c for batch in group for c in batch.counts),
        tuple(s for batch in group for s in batch.steps),
        tuple(f for batch in group for f in batch.flags),
        group[0].lost,
    )


def part_of(batch: SampleBatch, start: int, stop: int) -> SampleBatch:
    """Some samples of a batch; what was lost stays with its beginning."""
    here = slice(start, stop)
    lost = batch.lost if start == 0 else 0
    return SampleBatch(batch.t_us[here], batch.counts[here], batch.steps[here], batch.flags[here], lost)
