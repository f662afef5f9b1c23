"""Scores as rows of signs: every guess a dot on a strip beside the line of what was measured; a term as a table.

Pure: values in, spans out. Clean text only.
"""

from __future__ import annotations

from collections.abc import Sequence

from tui import wording_guesses as wording
from tui.classroom.scores import Score, Term
from tui.safe_text import clean
from tui.widgets.cells import Cells, Span, text_of
from tui.widgets.signs import BRAILLE, Signs
from tui.widgets.ticks import round_above, round_step, tick_text, ticks

#: Cells for a code, and for a guess in numbers.
CODE_WIDTH, GUESS_WIDTH = 6, 6
#: Widest words at the end of a row: "100.0 too high".
OFF_WIDTH = 14
#: Narrowest strip that shows anything, and cells from one of its ticks to the next.
LEAST_STRIP, CELLS_PER_TICK = 12, 12
#: Off by less than this is spot on: what is printed would be zero [%].
SPOT_ON_PCT = 0.05
#: Sessions shown in a term's row, the latest ones.
MOST_SESSIONS = 12
#: Bars of a session, from the shortest: how far off, as a share of the furthest.
BARS, PLAIN_BARS = "▁▂▃▄▅▆▇█", "._-=+*#@"


def off_text(off_pct: float) -> str:
    """How far off, in words that say which way."""
    if abs(off_pct) < SPOT_ON_PCT:
        return wording.SPOT_ON
    return (wording.TOO_HIGH if off_pct > 0 else wording.TOO_LOW).format(off=abs(off_pct))


def score_rows(scores: Sequence[Score], width: int, signs: Signs) -> list[list[Span]]:
    """A scale, and a row for each student: code, guess, strip, and how far off in words."""
    if not scores:
        return []
    strip = width - CODE_WIDTH - GUESS_WIDTH - OFF_WIDTH - 9
    high = round_above(max(max(s.guess_pct, s.measured_pct) for s in scores) * 1.02)
    rows = [_scale(strip, high)] if strip >= LEAST_STRIP else []
    for place, score in enumerate(scores):
        role = "good" if abs(score.off_pct) == abs(scores[0].off_pct) else "text"
        head = f" {score.student:<{CODE_WIDTH}} {score.guess_pct:>{GUESS_WIDTH}.1f} %  "
        middle = _strip(score, strip, high, signs, is_first=place == 0) if strip >= LEAST_STRIP else []
        rows.append([Span(head, "strong"), *middle, Span(f"  {off_text(score.off_pct)}", role)])
    return rows


def _place(pct: float, high: float, cells: int) -> int:
    return min(max(round(pct / high * (cells - 1)), 0), cells - 1)


def _scale(strip: int, high: float) -> list[Span]:
    cells = Cells(strip)
    most = max(strip // CELLS_PER_TICK, 1)
    for value in ticks(0.0, high, most):
        text = tick_text(value, round_step(high, most))
        start = min(max(_place(value, high, strip) - len(text) // 2, 0), strip - len(text))
        if cells.free(max(start - 1, 0), start + len(text)):
            cells.put(start, text, "label")
    return [Span(" " * (CODE_WIDTH + GUESS_WIDTH + 6), "blank"), *cells.spans()]


def _strip(score: Score, strip: int, high: float, signs: Signs, *, is_first: bool) -> list[Span]:
    """The way from the guess to what was measured."""
    cells = Cells(strip)
    guess, measured = _place(score.guess_pct, high, strip), _place(score.measured_pct, high, strip)
    first, last = min(guess, measured), max(guess, measured)
    cells.put(first, signs.level * (last - first + 1), "axis")
    cells.put(measured, signs.upright, "guide")
    cells.put(guess, signs.dot, "good" if is_first else "line0")
    return list(cells.spans())


def term_rows(terms: Sequence[Term], signs: Signs) -> list[list[Span]]:
    """A row for each student: how many guesses, mean difference, limits of agreement, sessions, and the trend."""
    if not terms:
        return []
    cells = [wording.TERM_HEADS, *(_term_cells(term, signs) for term in terms)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(wording.TERM_HEADS))]
    rows = []
    for number, row in enumerate(cells):
        texts = [_set(text, width_, column) for column, (text, width_) in enumerate(zip(row, widths, strict=True))]
        role = "quiet" if number == 0 else "text"
        spans = [Span(" ", "blank"), Span(texts[0], "quiet" if number == 0 else "strong")]
        spans += [Span(f"  {text}", role) for text in texts[1:-1]]
        rows.append([*spans, Span(f"  {texts[-1]}", role if number == 0 else _trend_role(terms[number - 1]))])
    return rows


def _set(text: str, width: int, column: int) -> str:
    """Numbers to the right, words and bars to the left."""
    return text.rjust(width) if 0 < column < 4 else text.ljust(width)


def _term_cells(term: Term, signs: Signs) -> tuple[str, ...]:
    between = wording.TOO_FEW
    if term.agreement is not None:
        between = f"{term.agreement.lower:+.1f} … {term.agreement.upper:+.1f}"
    return (
        clean(term.student, CODE_WIDTH) or wording.TERM_CLASS,
        str(len(term.scores)),
        f"{term.mean_off_pct:+.1f} %",
        between,
        session_bars(term.per_session, signs),
        wording.DIRECTIONS[term.trend.direction if term.trend else ""],
    )


def _trend_role(term: Term) -> str:
    direction = term.trend.direction if term.trend else ""
    return {"closer": "good", "further": "bad"}.get(direction, "quiet")


def session_bars(per_session: Sequence[float], signs: Signs = BRAILLE) -> str:
    """How far off in each of the latest sessions, as bars; the furthest is the longest."""
    shown = per_session[-MOST_SESSIONS:]
    bars = BARS if signs.blocks else PLAIN_BARS
    most = max(shown, default=0.0) or 1.0
    return "".join(bars[min(int(off / most * len(bars)), len(bars) - 1)] for off in shown)


def term_lines(terms: Sequence[Term], signs: Signs = BRAILLE) -> list[str]:
    """The table as lines of text."""
    return [text_of(tuple(row)) for row in term_rows(terms, signs)]
