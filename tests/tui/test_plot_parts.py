"""The parts of the plot: ticks, windows, dots, and drawing many points at the cost of few."""

from __future__ import annotations

import math
import random
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.widgets.braille import BRAILLE_BASE, BRAILLE_BITS, Canvas, Pen, clipped
from tui.widgets.points import FAN, Points
from tui.widgets.scale import Scale, Window
from tui.widgets.signs import BRAILLE, PLAIN, signs_for
from tui.widgets.strokes import draw, draw_from
from tui.widgets.ticks import round_above, round_step, tick_text, ticks

finite = st.floats(-1e6, 1e6)


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (0, 50, 5, (0, 10, 20, 30, 40, 50)),
        (0, 1.2, 6, (0, 0.2, 0.4, 0.6, 0.8, 1.0, 1.2)),
        (-0.3, 0.3, 3, (-0.2, 0.0, 0.2)),
        (17.2, 17.9, 4, (17.2, 17.4, 17.6, 17.8)),
        (0, 3000, 2, (0, 2000)),
        (5, 5, 4, ()),
        (5, 4, 4, ()),
    ],
)
def test_ticks_are_round_numbers_within_the_range(
    low: float, high: float, most: int, expected: tuple[float, ...]
) -> None:
    assert ticks(low, high, most) == pytest.approx(expected)


@given(st.floats(1e-9, 1e9), st.integers(1, 20))
def test_a_step_is_one_two_or_five_times_a_power_of_ten_and_not_too_fine(span: float, most: int) -> None:
    step = round_step(span, most)
    digits = f"{step:.6e}".split("e")[0]
    assert digits in {"1.000000", "2.000000", "5.000000"}
    assert span / step <= most * (1 + 1e-6)


def test_tick_labels_have_the_places_their_step_needs_and_no_negative_zero() -> None:
    assert [tick_text(v, 0.25) for v in (-1e-17, 0.25, 1.0)] == ["0.0", "0.2", "1.0"]
    assert tick_text(0.05, 0.05) == "0.05"
    assert tick_text(2000.0, 500.0) == "2000"


@given(st.floats(1e-6, 1e9))
def test_a_round_limit_is_not_below_the_value_nor_far_above(value: float) -> None:
    limit = round_above(value)
    assert value * (1 - 1e-6) <= limit <= value * 2


def test_a_window_grows_in_round_steps_and_never_shrinks() -> None:
    window = Window(0, 30, 0, 0.5)
    assert window.holding(0, 29, 0, 0.4) is window
    grown = window.holding(0, 31, -0.01, 0.52)
    assert (grown.x_high, grown.y_high) == (40, pytest.approx(0.6))
    assert -0.02 <= grown.y_low < -0.01


@given(finite, finite, st.floats(1e-3, 1e3), st.floats(-50, 50))
def test_zooming_and_panning_stay_inside_the_whole(x: float, y: float, factor: float, shift: float) -> None:
    whole = Window(0, 50, 0, 1)
    seen = whole.zoomed(factor, x, y).within(whole).panned(shift, -shift).within(whole)
    assert whole.x_low <= seen.x_low < seen.x_high <= whole.x_high
    assert whole.y_low <= seen.y_low < seen.y_high <= whole.y_high


def test_zooming_keeps_the_point_under_the_mouse_where_it_is() -> None:
    window = Window(0, 50, 0, 1)
    before, after = Scale(window, 100, 40), Scale(window.zoomed(3, 20, 0.25), 100, 40)
    assert after.dot_x(20) == pytest.approx(before.dot_x(20))
    assert after.dot_y(0.25) == pytest.approx(before.dot_y(0.25))


def test_dots_are_where_the_unicode_names_of_the_braille_patterns_say() -> None:
    # The Unicode Standard, block U+2800: dots 1 2 3 7 run down the left of a cell and 4 5 6 8 down the right.
    numbers = ((1, 4), (2, 5), (3, 6), (7, 8))
    for row in range(4):
        for column in range(2):
            name = unicodedata.name(chr(BRAILLE_BASE + BRAILLE_BITS[row][column]))
            assert name == f"BRAILLE PATTERN DOTS-{numbers[row][column]}"


@given(finite, finite, finite, finite)
def test_a_clipped_line_lies_on_the_canvas(x0: float, y0: float, x1: float, y1: float) -> None:
    cut = clipped(x0, y0, x1, y1, 40, 30)
    if cut is None:
        # Nothing of a fine walk along the line is on the canvas, but perhaps a touched edge.
        walk = [(x0 + (x1 - x0) * t / 999, y0 + (y1 - y0) * t / 999) for t in range(1000)]
        assert not any(0.01 < x < 39.99 and 0.01 < y < 29.99 for x, y in walk)
    else:
        assert all(0 <= x < 40 and 0 <= y < 30 for x, y in (cut[:2], cut[2:]))


@given(st.integers(0, 39), st.integers(0, 30), st.integers(0, 39), st.integers(0, 30))
def test_a_line_reaches_both_its_ends_without_a_hole(x0: int, y0: int, x1: int, y1: int) -> None:
    canvas = Canvas(20, 8)
    canvas.line(x0 + 0.5, y0 + 0.5, x1 + 0.5, y1 + 0.5, Pen())
    dots = raised(canvas)
    assert {(x0, y0), (x1, y1)} <= dots
    assert {x for x, _ in dots} == set(range(min(x0, x1), max(x0, x1) + 1))
    for x, y in dots - {(x0, y0)}:
        assert any((x + dx, y + dy) in dots for dx in (-1, 0, 1) for dy in (-1, 0, 1) if (dx, dy) != (0, 0))


def raised(canvas: Canvas) -> set[tuple[int, int]]:
    """Every raised dot of a braille canvas."""
    return {
        (2 * column + across, 4 * row + inner)
        for row, cells in enumerate(canvas.cells)
        for column, bits in enumerate(cells)
        for inner in range(4)
        for across in range(2)
        if bits & BRAILLE_BITS[inner][across]
    }


@given(st.lists(st.tuples(st.floats(0, 50), st.floats(0, 1)), min_size=1, max_size=300), st.floats(-5, 55))
def test_the_nearest_point_is_the_first_of_the_nearest(points: list[tuple[float, float]], x: float) -> None:
    curve = Points([p[0] for p in points], [p[1] for p in points])
    by_hand = min(range(len(points)), key=lambda index: (abs(points[index][0] - x), index))
    assert curve.nearest(x) == by_hand


@given(st.integers(0, 5 * FAN**3), st.lists(st.integers(1, 200), max_size=5))
def test_runs_cover_every_point_once_however_they_came(count: int, pieces: list[int]) -> None:
    curve = Points()
    for size in [*pieces, count]:
        curve.extend(range(size), range(size))
    covered = [
        point for depth, index in curve.roots() for point in range(index * FAN**depth, (index + 1) * FAN**depth)
    ]
    assert covered == list(range(len(curve)))
    for depth, level in enumerate(curve.levels):
        size = FAN ** (depth + 1)
        for index in range(len(level)):
            assert level.x_low[index] == min(curve.x[index * size : (index + 1) * size])
            assert level.y_high[index] == max(curve.y[index * size : (index + 1) * size])


def test_points_that_are_not_finite_are_left_out() -> None:
    curve = Points([0, math.nan, 2, 3, math.inf], [1, 1, math.nan, 4, 1])
    assert (list(curve.x), list(curve.y)) == ([0, 3], [1, 4])


@given(st.lists(st.tuples(st.floats(-10, 60), st.floats(-0.2, 1.2)), min_size=2, max_size=60), st.integers(1, 59))
def test_a_curve_drawn_as_it_grows_is_the_curve_drawn_at_once(points: list[tuple[float, float]], cut: int) -> None:
    cut = min(cut, len(points))
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    scale = Scale(Window(0, 50, 0, 1), 80, 64)
    grown, at_once = Canvas(40, 16), Canvas(40, 16)
    curve = Points(xs[:cut], ys[:cut])
    draw(grown, curve, scale, Pen())
    curve.extend(xs[cut:], ys[cut:])
    draw_from(grown, curve, scale, Pen(), cut)
    every = Points(xs, ys)
    draw_from(at_once, every, scale, Pen(), 0)
    # Runs narrower than half a dot column may be drawn half a dot aside.
    for x, y in raised(grown) ^ raised(at_once):
        assert any((x + dx, y) in raised(grown) & raised(at_once) for dx in (-1, 1))


def test_a_single_reading_among_a_million_is_still_seen() -> None:
    count, spike = 200_000, 123_456
    ys = [0.2] * count
    ys[spike] = 0.9
    curve = Points((50 * i / count for i in range(count)), ys)
    scale = Scale(Window(0, 50, 0, 1), 160, 80)
    canvas = Canvas(80, 20)
    draw(canvas, curve, scale, Pen())
    top = min(raised(canvas), key=lambda dot: dot[1])
    assert top == (pytest.approx(int(scale.dot_x(50 * spike / count)), abs=1), int(scale.dot_y(0.9)))


def test_many_points_visit_hardly_more_runs_than_few(monkeypatch: pytest.MonkeyPatch) -> None:
    visits = {}
    for count in (1000, 300_000):
        noise = random.Random(1)
        curve = Points((50 * i / count for i in range(count)), (0.5 + noise.gauss(0, 0.01) for _ in range(count)))
        seen = 0

        def counted(self: object, x: float, y: float) -> None:
            nonlocal seen
            seen += 1

        with monkeypatch.context() as patch:
            patch.setattr("tui.widgets.strokes.Stroke.to", counted)
            draw(Canvas(100, 20), curve, Scale(Window(0, 50, 0, 1), 200, 80), Pen())
        visits[count] = seen
    assert visits[300_000] < 4 * visits[1000]


def test_a_terminal_that_cannot_show_braille_gets_plain_signs() -> None:
    assert signs_for("utf-8") is BRAILLE
    assert signs_for("UTF8") is BRAILLE
    for encoding in ("ascii", "latin-1", "cp437", None, "no-such-encoding"):
        assert signs_for(encoding) is PLAIN
    for name in PLAIN.__slots__:
        value = getattr(PLAIN, name)
        texts = [value] if isinstance(value, str) else []
        assert all(text.isascii() and len(text) == 1 for text in texts)
    assert all(sign.isascii() for cells in PLAIN.cells for sign in cells)
