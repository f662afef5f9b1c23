"""The groups of a series as rows of signs: count and figure, then a bar where the mean lies, on one scale. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tui import wording_lab as words
from tui.lab.progress import Line
from tui.widgets.cells import Cells, Span
from tui.widgets.signs import Signs

#: Cells of the longest group name, of the count, and of the longest figure.
NAME, COUNT, FIGURE = 26, 12, 26
#: From this width on the words stand beside the figure; below it they have a row of their own.
WIDE = 106
#: The scale goes at least so far, and on in steps of as much [% stretch].
LEAST_SCALE, STEP = 60.0, 20.0


def scale_end(lines: Sequence[Line]) -> float:
    """Where the common scale ends [%]: everything there is to show fits in."""
    far = [value for line in lines for value in line.values]
    far += [end for line in lines for span in (line.now, line.before) if span for end in span]
    return max(LEAST_SCALE, STEP * math.ceil(max(far, default=0.0) / STEP))


def rows_of(
    lines: Sequence[Line], here: int | None, guideline_pct: float, signs: Signs, width: int
) -> list[list[Span]]:
    """All rows; `here` is the group whose strand is next."""
    end = scale_end(lines)
    rows: list[list[Span]] = []
    for number, line in enumerate(lines):
        rows.append(_head(line, signs, width, here=number == here))
        if width < WIDE:
            rows.append([Span("   ", "blank"), *_verdict(line)])
        rows.append(_bar(line, end, guideline_pct, signs, width))
    return [*rows, _axis(end, width)]


def _head(line: Line, signs: Signs, width: int, *, here: bool) -> list[Span]:
    count = words.GROUP_COUNT.format(done=line.done, planned=line.planned)
    name = f" {signs.arrow_right if here else ' '} {line.name[:NAME]:{NAME}} "
    spans = [
        Span(name, "strong" if here else "text"),
        Span(f"{count:{COUNT}}", "text"),
        Span(f"{line.figure:{FIGURE}}", "strong"),
    ]
    return [*spans, Span("  ", "blank"), *_verdict(line)] if width >= WIDE else spans


def _verdict(line: Line) -> list[Span]:
    """Whether it is enough, and how many pulls do not count."""
    rejected = f"   {words.REJECTED_COUNT.format(count=line.rejected)}" if line.rejected else ""
    return [Span(line.verdict, "good" if line.enough else "quiet"), Span(rejected, "unsure")]


def _bar(line: Line, end: float, guideline_pct: float, signs: Signs, width: int) -> list[Span]:
    """Every strand as a ring, the interval before faint, the interval now over it, the mean as a dot."""
    cells = Cells(width)
    cells.put(_column(guideline_pct, end, width), signs.guide, "guide")
    if line.before is not None and line.before != line.now:
        _stroke(cells, line.before, end, width, signs.thread_ahead, "thread_ahead")
    if line.now is not None:
        _stroke(cells, line.now, end, width, signs.thread, "thread")
    for value in line.values:
        cells.put(_column(value, end, width), signs.ring, "quiet")
    if line.mean is not None:
        cells.put(_column(line.mean, end, width), signs.dot, "figure_force")
    return list(cells.spans())


def _stroke(cells: Cells, span: tuple[float, float], end: float, width: int, sign: str, role: str) -> None:
    first, last = (_column(min(max(value, 0.0), end), end, width) for value in span)
    cells.put(first, sign * (last - first + 1), role)


def _axis(end: float, width: int) -> list[Span]:
    cells = Cells(width)
    for tick in range(0, int(end) + 1, int(STEP)):
        text = f"{tick} %"
        cells.put(min(_column(tick, end, width), width - len(text)), text, "axis")
    return list(cells.spans())


def _column(value: float, end: float, width: int) -> int:
    return 3 + round((width - 5) * value / end)
