"""What a plot marks besides its curves: the moment of break, the spread of a group; and large words and figures."""

from __future__ import annotations

import pytest

from tui.widgets.cells import text_of
from tui.widgets.digits import SQUARES, TALL, figures
from tui.widgets.drawing import Drawing, render_rows
from tui.widgets.picture import Axis, Band, Line, Pin, Ribbon
from tui.widgets.plot_view import PlotView
from tui.widgets.points import Points
from tui.widgets.readouts import readout_rows
from tui.widgets.signs import BRAILLE, PLAIN

XS = [number / 10 for number in range(401)]


def view(lines: list[Line], ribbons: list[Ribbon] | None = None) -> PlotView:
    shown = PlotView(Axis("Stretch", "%"), Axis("Force", "N"))
    shown.show(lines, ribbons=ribbons or [])
    return shown


def ramp(slope: float, until: float = 40.0) -> Points:
    xs = [x for x in XS if x <= until]
    return Points(xs, [slope * x for x in xs])


@pytest.mark.parametrize("signs", [BRAILLE, PLAIN], ids=["braille", "plain"])
def test_a_break_stands_at_its_place_with_its_word_beside_it(signs: object) -> None:
    shown = view([Line(ramp(0.02))])
    shown.mark([Pin(40.0, 0.8, "broke")], [])
    rows = render_rows(shown.picture, 80, 20, signs)  # type: ignore[arg-type]
    sign = signs.pin  # type: ignore[attr-defined]
    (row,) = [row for row in rows if sign in row]
    assert f"{sign} broke" in row
    # 40 % of 0 to 50 % on the axis below: the sign stands over the tick of 40.
    ticks = next(row for row in rows if row.strip().startswith(("0 ", "0.0 ")) and "Stretch" in row)
    assert abs(row.index(sign) - ticks.index("40") - 0.5) <= 1


def test_a_word_goes_to_the_other_side_where_there_is_no_room_and_never_covers_a_curve() -> None:
    shown = view([Line(Points([0.0, 100.0], [0.9, 0.9]))])
    shown.mark([Pin(148.0, 0.5, "broke")], [])
    assert any("broke ╳" in row for row in render_rows(shown.picture, 60, 20))
    shown.mark([], [])
    plain = render_rows(shown.picture, 60, 20)
    shown.mark([Pin(50.0, 0.9, "broke")], [])
    rows = render_rows(shown.picture, 60, 20)
    assert any("broke" in row for row in rows), "there is a curve on both sides, but not above it"
    lost = [
        (y, x)
        for y, row in enumerate(plain)
        for x, sign in enumerate(row)
        if sign not in " ·" and rows[y][x : x + 1] not in (sign, "╳")
    ]
    assert lost == []


def test_words_of_two_breaks_do_not_cover_each_other() -> None:
    shown = view([Line(ramp(0.02)), Line(ramp(0.0199))])
    shown.mark([Pin(40.0, 0.8, "broke at 40.0 %"), Pin(39.9, 0.79, "broke at 39.9 %")], [])
    text = " ".join(render_rows(shown.picture, 100, 24))
    assert "broke at 40.0 %" in text
    assert "broke at 39.9 %" in text


def test_a_moment_outside_the_window_is_not_shown() -> None:
    shown = view([Line(ramp(0.02))])
    shown.mark([Pin(99.0, 0.5, "broke")], [])
    assert not any("╳" in row for row in render_rows(shown.picture, 80, 20))


def test_other_curves_have_no_marks_of_the_ones_before() -> None:
    shown = view([Line(ramp(0.02))])
    shown.mark([Pin(10.0, 0.2, "broke")], [Band("elastic", 0.0, 2.0)])
    shown.show([Line(ramp(0.01))])
    assert shown.picture.pins == ()
    assert shown.picture.bands == ()


def test_room_for_what_is_to_come_keeps_the_window_still() -> None:
    points = Points()
    shown = view([Line(points)])
    shown.reach(55.0, 1.3)
    window = shown.picture.window
    points.extend(XS, [x / 40 for x in XS])
    shown.grown()
    assert shown.picture.window == window
    assert window.x_high >= 55.0
    assert window.y_high >= 1.3


def dotted(rows: list[str], column: int) -> list[int]:
    """Rows with braille dots in a column."""
    return [number for number, row in enumerate(rows) if column < len(row) and 0x2800 < ord(row[column]) < 0x2900]


def test_a_ribbon_fills_from_its_lower_to_its_upper_edge() -> None:
    low, high = ramp(0.005), ramp(0.02)
    shown = view([Line(Points())], [Ribbon(low, high)])
    rows = render_rows(shown.picture, 60, 22)
    edges = [dotted(render_rows(view([Line(edge), Line(high)]).picture, 60, 22), 40) for edge in (high, low)]
    filled = dotted(rows, 40)
    assert len(filled) >= 8
    assert filled == list(range(filled[0], filled[-1] + 1)), "no holes"
    assert abs(filled[0] - edges[0][0]) <= 1
    assert abs(filled[-1] - edges[1][-1]) <= 1


def test_a_ribbon_that_grows_is_the_ribbon_drawn_at_once() -> None:
    low, high = Points(), Points()
    shown = view([Line(Points())], [Ribbon(low, high)])
    shown.reach(40.0, 0.8)
    drawing = Drawing()
    drawing.update(shown.picture, 70, 20)
    for start in range(0, len(XS), 7):
        part = XS[start : start + 7]
        low.extend(part, [0.005 * x for x in part])
        high.extend(part, [0.02 * x for x in part])
        drawing.update(shown.picture, 70, 20)
    grown = [text_of(drawing.row(y)) for y in range(20)]
    assert grown == render_rows(shown.picture, 70, 20)


@pytest.mark.parametrize("edge", [(0.0, 0.0), (-5.0, 5.0), (1e9, 1e12)])
def test_a_ribbon_outside_or_without_width_harms_nothing(edge: tuple[float, float]) -> None:
    low, high = Points([5.0, 5.0, 20.0], [edge[0]] * 3), Points([5.0, 5.0, 20.0], [edge[1]] * 3)
    shown = view([Line(ramp(0.02))], [Ribbon(low, high)])
    assert len(render_rows(shown.picture, 60, 20)) == 20


def test_every_sign_is_five_squares_high_and_evenly_wide() -> None:
    for sign, squares in SQUARES.items():
        assert len(squares) == TALL, sign
        assert len({len(row) for row in squares}) == 1, sign
    letters = [squares for sign, squares in SQUARES.items() if sign.isalnum()]
    assert len(set(letters)) == len(letters) - 1, "all are told apart, but for 0 and O"


@pytest.mark.parametrize("rows", range(1, 24))
@pytest.mark.parametrize("width", [1, 8, 17, 34, 68, 200])
@pytest.mark.parametrize("blocks", [True, False])
def test_figures_fit_or_are_plain_text(rows: int, width: int, blocks: bool) -> None:
    drawn = figures("0.615", rows, blocks=blocks, width=width)
    assert drawn == ["0.615"] or (len(drawn) <= rows and len(drawn[0]) <= width)


def test_a_word_of_another_script_stands_as_it_is() -> None:
    assert figures("ÉLASTIQUE", 12) == ["ÉLASTIQUE"]


def test_figures_are_never_cut_by_a_narrow_readout() -> None:
    """26 columns and 7 rows, as in a high window of 80 columns: the figures shrink."""
    rows = readout_rows("force", "0.444", "N", 7, blocks=True, role="figure", width=26)
    assert all(sum(len(span.text) for span in row) <= 26 for row in rows)
