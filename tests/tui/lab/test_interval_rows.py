"""The bars of a series as text: on one scale, narrower than before the last pull, within any width."""

from __future__ import annotations

import pytest

from tui.lab.interval_rows import rows_of, scale_end
from tui.lab.progress import Line
from tui.widgets.signs import BRAILLE, PLAIN, Signs

LINE = Line(
    name="untreated, dry",
    done=4,
    planned=5,
    rejected=1,
    mean=45.0,
    now=(40.0, 50.0),
    before=(30.0, 60.0),
    values=(41.0, 44.0, 47.0, 48.0),
    figure="45.0 % (40.0 to 50.0 %)",
    verdict="±5.0 %; about 8 more for ±3 %",
    enough=False,
)
EMPTY = Line("lightened, wet", 0, 5, 0, None, None, None, (), "", "pull at least 3", False)


def drawn(width: int, signs: Signs = BRAILLE) -> list[str]:
    rows = rows_of([LINE, EMPTY], 0, 20.0, signs, width)
    return ["".join(span.text for span in row) for row in rows]


def test_the_interval_now_lies_within_the_one_before() -> None:
    bar = drawn(80)[2]
    now = [column for column, sign in enumerate(bar) if sign in (BRAILLE.thread, BRAILLE.ring, BRAILLE.dot)]
    before = [column for column, sign in enumerate(bar) if sign == BRAILLE.thread_ahead]
    assert min(before) < min(now) < bar.index(BRAILLE.dot) < max(now) < max(before)
    assert bar.index(BRAILLE.guide) < min(before)
    assert bar.count(BRAILLE.ring) + bar.count(BRAILLE.dot) == 5


def test_words_stand_beside_the_figure_where_there_is_room() -> None:
    assert "about 8 more" in drawn(80)[1]
    assert "1 rejected" in drawn(80)[1]
    assert "about 8 more" in drawn(120)[0]
    assert len(drawn(120)) < len(drawn(80))


@pytest.mark.parametrize("width", [20, 60, 80, 200])
def test_bars_and_scale_fit_any_width(width: int) -> None:
    bars = [row for row in drawn(width, PLAIN) if PLAIN.thread in row or "%" in row[-3:]]
    assert bars
    assert all(len(row) <= max(width, 80) for row in bars)


def test_the_scale_has_room_for_everything() -> None:
    assert scale_end([EMPTY]) == 60.0
    assert scale_end([LINE]) == 60.0
    far = Line("x", 3, 5, 0, 70.0, (58.0, 82.0), None, (60.0,), "", "", False)
    assert scale_end([LINE, far]) == 100.0
    assert rows_of([], None, 20.0, BRAILLE, 80)
