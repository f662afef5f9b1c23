"""Samples as they leave the reader: unwrapped, in batches, with what was lost in between counted."""

from __future__ import annotations

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
