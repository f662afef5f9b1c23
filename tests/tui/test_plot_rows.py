"""The plot as rows of text: axes, guideline, regions, names beside the field, cursor; and its widget in use."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from textual.events import MouseScrollUp

from tui.widgets.curve_plot import CurvePlot
from tui.widgets.drawing import NO_ROOM, Drawing, render_rows
from tui.widgets.picture import Axis, Band, Cursor, Guideline, Line, Picture
from tui.widgets.plot_view import PlotView
from tui.widgets.points import Points
from tui.widgets.scale import Window
from tui.widgets.signs import BRAILLE, PLAIN

STRETCH, FORCE = Axis("Stretch", "%"), Axis("Force", "N")
GUIDELINE = Guideline(20, "guideline 20 %")
REGIONS = (Band("elastic", 0, 3), Band("yield", 3, 27), Band("post-yield", 27, 43))


def strand(end: float = 43, scale: float = 1.0) -> Points:
    """A strand's curve of three straight parts."""
    xs = [end * i / 400 for i in range(401)]
    ys = [scale * (min(x, 3) * 0.18 + max(0, min(x, 27) - 3) * 0.004 + max(0, x - 27) * 0.018) for x in xs]
    return Points(xs, ys)


def picture(**changes: object) -> Picture:
    usual: dict[str, object] = {
        "lines": (Line(strand()),),
        "window": Window(0, 50, 0, 1),
        "x_axis": STRETCH,
        "y_axis": FORCE,
        "guideline": GUIDELINE,
    }
    return Picture(**{**usual, **changes})  # type: ignore[arg-type]


def test_a_plot_of_plain_signs_is_what_a_person_would_draw() -> None:
    assert render_rows(picture(bands=REGIONS), 64, 14, PLAIN) == [
        "Force (N)                   v guideline 20 %",
        "1.0 +   |                   !       |                ..",
        "    |   |                   !       |         ...::'''",
        "    |   |                   !       |   ...:'''",
        "    |   |                ...........::'''",
        "    |  ....:''''''''''''''  !       |",
        "0.5 +  :'                   !       |",
        "    | ::|                   !       |",
        "    |.: |                   !       |",
        "    |:' |                   !       |",
        "0.0 +:  |                   !       |",
        "    ++----------+-----------+----------+-----------+----------+",
        "     0         10          20         30            Stretch (%)",
        "     elastic <------- yield -------><-- post-yield -->",
    ]


def test_every_row_fits_and_axes_carry_round_values_with_units() -> None:
    for width in (24, 40, 80, 120, 200):
        for height in (7, 14, 24, 50):
            rows = render_rows(picture(bands=REGIONS), width, height)
            assert len(rows) == height
            assert all(len(row) <= width for row in rows)
            text = "\n".join(rows)
            assert "Force (N)" in text
            assert "Stretch (%)" in text
            assert "┊" in text


def test_the_guideline_stands_at_its_value_and_its_label_above_it() -> None:
    rows = render_rows(picture(lines=(Line(Points()),)), 80, 20)
    ticks = [column for column, sign in enumerate(rows[-2]) if sign == "┬"]
    column = rows[5].index("┊")
    assert column in ticks
    assert rows[-1][column - 1 : column + 1].strip() == "20"
    assert rows[0].index("▾") == column
    assert GUIDELINE.label in rows[0]


def test_a_guideline_outside_the_window_is_not_drawn() -> None:
    rows = render_rows(picture(window=Window(25, 50, 0, 1)), 80, 20)
    assert not any("┊" in row or "guideline" in row for row in rows)


@settings(max_examples=30)
@given(
    st.lists(st.lists(st.floats(0, 1), min_size=1, max_size=30), min_size=2, max_size=4),
    st.sampled_from([30, 50, 71, 72, 80, 120, 200]),
    st.sampled_from([8, 12, 24, 60]),
)
def test_names_never_cover_data(curves: list[list[float]], width: int, height: int) -> None:
    lines = tuple(
        Line(Points([50 * i / len(ys) for i in range(len(ys))], ys), f"strand {n}") for n, ys in enumerate(curves)
    )
    drawing = Drawing()
    drawing.update(picture(lines=lines), width, height)
    frame = drawing.frame
    assert frame is not None
    for y in range(frame.top, frame.top + frame.rows):
        text = "".join(span.text for span in drawing.row(y))
        field = text[frame.left : frame.left + frame.columns]
        assert not any(sign.isalpha() for sign in field)
    rows = render_rows(picture(lines=lines), width, height)
    if width >= 72 and height >= 12:
        for line in lines:
            assert sum(line.name in row for row in rows) == 1


def test_curves_can_be_told_apart_without_colour() -> None:
    drawn = []
    for place in range(4):
        lines = [Line(Points(), f"{n}") for n in range(4)]
        lines[place] = Line(Points([0, 50], [0.55, 0.55]), f"{place}")
        rows = render_rows(picture(lines=tuple(lines), guideline=None), 80, 20)
        drawn.append("".join(sign for row in rows for sign in row[5:70] if "⠀" <= sign <= "⣿" or sign == " "))
    assert len(set(drawn)) == 4
    assert len({BRAILLE.sample(n) for n in range(4)}) == 4


def test_curves_that_cross_share_their_cell() -> None:
    rising, falling = Line(Points([0, 50], [0, 1])), Line(Points([0, 50], [1, 0]))
    drawings = []
    for lines in ((rising,), (falling,), (rising, falling)):
        drawing = Drawing()
        drawing.update(picture(lines=lines, guideline=None, window=Window(0, 50, 0, 1)), 60, 20)
        drawings.append({y: "".join(span.text for span in drawing.row(y)) for y in range(20)})
    crossing = [sign for sign in drawings[2][9] if "⠀" < sign <= "⣿"]
    assert len(crossing) < sum("⠀" < sign <= "⣿" for d in drawings[:2] for sign in d[9])


def test_the_cursor_reads_the_values_of_its_point() -> None:
    curve = strand()
    at = curve.nearest(33)
    assert at is not None
    rows = render_rows(picture(lines=(Line(curve),), cursor=Cursor(0, at)), 80, 20)
    assert f"{curve.x[at]:.1f} %   {curve.y[at]:.3f} N" in rows[0]


def test_a_cursor_on_points_that_are_gone_is_no_failure() -> None:
    for cursor in (Cursor(0, 5), Cursor(3, 0)):
        assert len(render_rows(picture(lines=(Line(Points()),), cursor=cursor), 80, 20)) == 20


@pytest.mark.parametrize("size", [(0, 0), (1, 1), (10, 3), (23, 20), (80, 6)])
def test_too_small_a_plot_says_so_as_far_as_it_can(size: tuple[int, int]) -> None:
    rows = render_rows(picture(), *size)
    assert len(rows) == size[1]
    assert all(len(row) <= size[0] for row in rows)
    if size[0] >= len(NO_ROOM):
        assert any(NO_ROOM in row for row in rows)


def test_plain_signs_are_ascii_all_over() -> None:
    lines = tuple(Line(strand(20 + 10 * n), f"strand {n}") for n in range(4))
    for width in (40, 100):
        for row in render_rows(picture(lines=lines, bands=REGIONS, cursor=Cursor(0, 3)), width, 20, PLAIN):
            assert row.isascii()


def test_only_rows_that_changed_are_drawn_again() -> None:
    curve = Points([0, 1], [0.5, 0.5])
    shown = picture(lines=(Line(curve),))
    drawing = Drawing()
    assert drawing.update(shown, 80, 20) is None
    assert drawing.update(shown, 80, 20) == set()
    curve.extend([2, 3, 4], [0.5, 0.5, 0.5])
    changed = drawing.update(shown, 80, 20)
    assert changed is not None
    assert 1 <= len(changed) <= 2
    assert render_rows(shown, 80, 20) == ["".join(s.text for s in drawing.row(y)).rstrip() for y in range(20)]


def test_a_growing_curve_always_fits_and_the_guideline_is_always_there() -> None:
    view = PlotView(STRETCH, FORCE, Guideline(80, "far away"))
    view.grown()
    assert view.picture.window.x_high >= 80
    points = view.picture.lines[0].points
    for x in range(0, 300, 7):
        points.extend([x], [x / 100])
        view.grown()
        assert view.picture.window.x_high >= x
        assert view.picture.window.y_high >= x / 100


def test_zoom_and_cursor_stay_on_the_curve() -> None:
    view = PlotView(STRETCH, FORCE, GUIDELINE)
    view.show([Line(strand())])
    view.move_cursor(0)
    first = view.point()
    assert first is not None
    for _ in range(6):
        view.zoom(1, *view.focus_point())
    assert view.picture.window.x_low < first[0] < view.picture.window.x_high
    for _ in range(200):
        view.move_cursor(0.2)
    last = view.point()
    assert last is not None
    assert last[0] == pytest.approx(43)
    assert view.picture.window.x_low <= last[0] <= view.picture.window.x_high
    view.reset()
    assert view.picture.cursor is None
    assert view.picture.window.x_low == 0


class PlotApp(App[None]):
    """Nothing but a plot."""

    def compose(self) -> ComposeResult:
        yield CurvePlot(STRETCH, FORCE, GUIDELINE, id="curve")


async def test_the_widget_is_read_zoomed_and_moved_by_keys() -> None:
    app = PlotApp()
    async with app.run_test(size=(80, 24)) as pilot:
        plot = app.query_one(CurvePlot)
        plot.show([Line(strand(), "a"), Line(strand(30, 0.5), "b")])
        plot.focus()
        whole = plot.picture.window
        await pilot.press("right", "right", "shift+right")
        cursor = plot.picture.cursor
        assert cursor is not None
        assert plot.picture.lines[0].points.x[cursor.point] > 25
        await pilot.press("down")
        assert plot.picture.cursor is not None
        assert plot.picture.cursor.line == 1
        await pilot.press("plus", "plus", "right_square_bracket", "right_curly_bracket")
        assert plot.picture.window.width == pytest.approx(whole.width / 1.5**2)
        await pilot.press("minus", "minus", "minus")
        assert plot.picture.window == whole
        await pilot.press("0")
        assert plot.picture.cursor is None


async def test_the_widget_is_read_and_moved_by_mouse() -> None:
    app = PlotApp()
    async with app.run_test(size=(80, 24)) as pilot:
        plot = app.query_one(CurvePlot)
        plot.show([Line(strand())])
        await pilot.pause()
        whole = plot.picture.window
        await pilot.click(plot, offset=(40, 10))
        cursor = plot.picture.cursor
        assert cursor is not None
        assert 15 < plot.picture.lines[0].points.x[cursor.point] < 30
        await pilot._post_mouse_events([MouseScrollUp], plot, (40, 10), button=0)
        await pilot.pause()
        zoomed = plot.picture.window
        assert zoomed.width == pytest.approx(whole.width / 1.5)
        await pilot.mouse_down(plot, offset=(40, 10))
        await pilot.hover(plot, offset=(50, 10))
        await pilot.mouse_up(plot, offset=(50, 10))
        assert plot.picture.window.x_low < zoomed.x_low


async def test_a_curve_that_grows_on_the_screen_is_the_curve_shown_at_once() -> None:
    app = PlotApp()
    async with app.run_test(size=(80, 24)) as pilot:
        plot = app.query_one(CurvePlot)
        whole = strand()
        for start in range(0, len(whole), 20):
            plot.extend(whole.x[start : start + 20], whole.y[start : start + 20])
            await pilot.pause()
        grown = ["".join(segment.text for segment in plot.render_line(y)) for y in range(24)]
        plot.show([Line(whole)])
        await pilot.pause()
        assert grown == ["".join(segment.text for segment in plot.render_line(y)) for y in range(24)]
