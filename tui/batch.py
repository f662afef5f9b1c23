"""Many files analysed: in this process, or on every core where there are enough of them to be worth it."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from tui.analysing import NOTHING_SPECIAL, Analysed, Wishes, analyse_with_strand

#: Files from which starting more processes pays for itself.
ENOUGH_FOR_CORES = 64
#: Files handed to a process at a time.
CHUNK = 16


def analyse_many(
    paths: Sequence[Path], wishes: Wishes = NOTHING_SPECIAL
) -> Iterator[tuple[Path, Analysed | Exception]]:
    """Each path with its result, or with what was wrong with it, in order and as they come."""
    one = partial(_tried, wishes=wishes)
    cores = os.cpu_count() or 1
    if len(paths) < ENOUGH_FOR_CORES or cores < 2:
        yield from zip(paths, map(one, paths), strict=True)
        return
    with ProcessPoolExecutor(cores) as pool:
        yield from zip(paths, pool.map(one, paths, chunksize=CHUNK), strict=True)


def _tried(path: Path, wishes: Wishes) -> Analysed | Exception:
    try:
        return analyse_with_strand(path, wishes)
    except Exception as error:
        return error
