"""From a file to its item: the header alone, which is quick, and the result, which takes the analysis.

Blocks; called beside the screen. Never raises for what is in a file: that is in the item's `problem`.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from recordings.format import FORMAT_NAME, SUFFIX
from recordings.lines import BadLine, decode_header
from recordings.reader import HEAD_BYTES
from tui import wording_library as words
from tui.analysing import NOTHING_SPECIAL, Wishes
from tui.library.item import Item
from tui.safe_text import clean

#: Longest text of a header that is kept in the index [characters].
LONGEST_PART = 60


def head_of(path: Path, stamp: str, wishes: Wishes | None = None) -> Item:
    """What the first line of a file says; with `wishes` it is another program's table, which says nothing."""
    item = Item(str(path), clean(path.name.removesuffix(SUFFIX)), stamp)
    if wishes is not None:
        return replace(item, history=words.IMPORTED)
    try:
        with path.open("rb") as file:
            line = file.readline(HEAD_BYTES)
        header = decode_header(line.rstrip(b"\n")) if line.endswith(b"\n") else None
    except OSError as problem:
        return replace(item, problem=words.UNREADABLE.format(why=clean(problem.strerror or str(problem)).lower()))
    except BadLine:
        header = None
    if header is None:
        return replace(item, problem=words.NO_HEADER if FORMAT_NAME.encode() in line else words.NOT_A_RECORDING)
    told = header.specimen
    texts = ("reference", "strand", "zone", "history", "condition", "series")
    parts: dict[str, Any] = {name: clean(getattr(told, name), LONGEST_PART) for name in texts}
    return replace(item, recorded_at=clean(header.recorded_at, 40), simulated=header.simulated, **parts)


def with_result(item: Item, software: str, wishes: Wishes = NOTHING_SPECIAL) -> Item:
    """The item with its outcome and verdict, or with the sentence why there is none."""
    from analysis.results import Measured
    from tui.analysing import analyse_file
    from tui.failure import sentence

    try:
        result = analyse_file(Path(item.path), wishes)
    except Exception as problem:
        return replace(item, problem=sentence(problem), software=software)
    found = result.elongation_at_break_pct
    measured = found if isinstance(found, Measured) else None
    return replace(
        item,
        problem="",
        software=software,
        outcome=result.outcome,
        verdict=result.verdict.verdict_class,
        elongation_pct=measured.value if measured else result.elongation_reached_pct,
        u_pct=measured.u if measured else None,
    )
