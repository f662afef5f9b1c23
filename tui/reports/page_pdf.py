"""The page as a PDF of one A4 sheet: the strands at the left, the card at the right, readable in grey.

Where there is much to say the letters become smaller, all alike; where even that does not do, the last pulls are
left to the JSON file, and the page says so.
"""

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING

from tui import wording_card, wording_check
from tui.reports.page import Page, Result, TestRow
from tui.reports.sheet import HEIGHT_PT, INK, LINE, MARGIN_PT, QUIET, WIDTH_PT, Column, Stroke

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: Scales of the letters that are tried, the largest first; below the last nobody can read it.
SCALES = (1.0, 0.94, 0.88, 0.82, 0.76, 0.7)

#: Fewest pulls that are listed, however little room there is.
FEWEST_ROWS = 5

#: Share of the width that the strands take, and the room between the two sides [points].
LEFT_SHARE, BETWEEN_PT = 0.58, 18.0

#: Room that the drawing's axes need at its left and below it [points].
AXIS_LEFT_PT, AXIS_BELOW_PT = 14.0, 26.0

#: Shares of the columns of the strands' list.
SHARES = (0.13, 0.23, 0.27, 0.37)


def page_pdf(page: Page) -> bytes:
    """The file. Imports matplotlib."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH_PT / 72, HEIGHT_PT / 72))
    _set(page).draw(figure)
    buffer = io.BytesIO()
    with mpl.rc_context({"pdf.fonttype": 42}):  # letters that can be searched and copied
        figure.savefig(buffer, format="pdf", metadata={"Title": page.title, "Creator": "strandbench", "Author": ""})
    return buffer.getvalue()


def _set(page: Page) -> _Laid:
    """The page set at the largest scale at which it fits; with fewer pulls listed where none does."""
    for scale in SCALES:
        laid = _Laid(page, scale)
        if laid.fits:
            return laid
    while page.result is not None and len(page.result.strands) > FEWEST_ROWS:
        page = replace(page, result=_shorter(page.result))
        laid = _Laid(page, SCALES[-1])
        if laid.fits:
            break
    return laid


def _shorter(result: Result) -> Result:
    """The result with one pull fewer in its list; the last line counts those that are left out."""
    return replace(result, strands=result.strands[:-1], left_out=result.left_out + 1)


class _Laid:
    """The page at one scale."""

    def __init__(self, page: Page, scale: float) -> None:
        self._result = page.result
        width = WIDTH_PT - 2 * MARGIN_PT
        self.top = Column(MARGIN_PT, MARGIN_PT, width, scale)
        _set_top(self.top, page)
        left_width = LEFT_SHARE * width - BETWEEN_PT / 2
        self.left = Column(MARGIN_PT, self.top.y_pt, left_width, scale)
        right_x = MARGIN_PT + left_width + BETWEEN_PT
        self.right = Column(right_x, self.top.y_pt, WIDTH_PT - MARGIN_PT - right_x, scale)
        self._drawing_pt = self._set_sides(page)
        self.foot = Column(MARGIN_PT, max(self.left.y_pt, self.right.y_pt), width, scale)
        _set_foot(self.foot, page)

    @property
    def fits(self) -> bool:
        """Whether all of it stands on the sheet."""
        return self.foot.y_pt <= HEIGHT_PT - MARGIN_PT

    def _set_sides(self, page: Page) -> tuple[float, float]:
        """Both sides; where the drawing begins and how high it is [points]."""
        _set_tests(self.right, page.tests)
        if page.result is None:
            _set_points(self.left, page)
            return (0.0, 0.0)
        _set_points(self.right, page)
        return _set_result(self.left, page.result)

    def draw(self, figure: Figure) -> None:
        """Put it on the paper."""
        for column in (self.top, self.left, self.right, self.foot):
            column.draw(figure)
        y_pt, height_pt = self._drawing_pt
        if self._result is not None and height_pt:
            from tui.reports.marks import draw_marks

            left, below = self.left.x_pt + AXIS_LEFT_PT, HEIGHT_PT - y_pt - height_pt + AXIS_BELOW_PT
            width, height = self.left.width_pt - AXIS_LEFT_PT - 4.0, height_pt - AXIS_BELOW_PT
            box = (left / WIDTH_PT, below / HEIGHT_PT, width / WIDTH_PT, height / HEIGHT_PT)
            draw_marks(figure.add_axes(box, facecolor="none"), self._result)


def _set_top(column: Column, page: Page) -> None:
    """Title, who it is about, and the card in a few words."""
    column.text(page.title, 15.0, bold=True)
    column.gap(3.0)
    for name, text in page.facts:
        column.row((name, text), (0.16, 0.84), 9.0)
    if page.simulated:
        column.gap(2.0)
        column.text(wording_check.SIMULATED_MARK, 10.0, bold=True)
    column.gap(4.0)
    top = column.y_pt
    mark = "✘ " if page.stopped else ""
    column.text(f"{mark}{page.headline}", 12.0, bold=True, indent_pt=12.0)
    column.gap(4.0)
    column.strokes.append(Stroke(column.x_pt, top + 2, 5.0, column.y_pt - top - 2, INK))


def _set_result(column: Column, result: Result) -> tuple[float, float]:
    """The strength check; where the drawing begins and how high it is [points]."""
    from tui.reports.marks import height_in

    column.gap(4.0)
    column.text(f"{result.sign} {result.words}", 10.5, bold=True)
    column.gap(4.0)
    begins, height = column.y_pt, 72 * height_in(result) * column.scale if result.marks else 0.0
    column.y_pt += height
    if result.marks:
        column.text(wording_card.PAGE_LEGEND, 7.0, colour=QUIET)
    for head, sentences in (
        (wording_check.HEAD_MEASURED, result.measured),
        (wording_check.HEAD_SURE, result.sure),
        (wording_check.HEAD_NOT_TOLD, result.not_told),
    ):
        if sentences:
            column.head(head)
            column.points(sentences)
    _set_strands(column, result)
    return begins, height


def _set_strands(column: Column, result: Result) -> None:
    column.head(wording_check.HEAD_STRANDS)
    column.row(wording_card.PAGE_STRAND_HEADS, SHARES, 7.6, colour=QUIET)
    for row in result.strands:
        cells = (str(row.number), row.zone, row.figure, f"{row.sign} {row.words}")
        column.row(cells, SHARES, 7.8, colour=INK if row.counts else QUIET)
    if result.left_out:
        column.text(wording_card.PAGE_MORE_STRANDS.format(count=result.left_out), 7.8, colour=QUIET)


def _set_tests(column: Column, tests: tuple[TestRow, ...]) -> None:
    """Each test in a block of its own."""
    column.head(wording_card.HEAD_TESTS)
    for test in tests:
        column.gap(1.5)
        column.text(f"{test.name}: {test.state}", 9.0, bold=True, indent_pt=12.0, lead=test.sign)
        if test.outcome:
            column.text(test.outcome, indent_pt=12.0)
        told = ", ".join(filter(None, (test.when, test.who)))
        if told:
            column.text(told, 7.8, colour=QUIET, indent_pt=12.0)
        for one in test.earlier:
            column.text(wording_card.TEST_EARLIER.format(earlier=one), 7.4, colour=QUIET, indent_pt=12.0)


def _set_points(column: Column, page: Page) -> None:
    column.head(wording_card.HEAD_OPEN)
    column.points(page.points)


def _set_foot(column: Column, page: Page) -> None:
    """Cautions, what comes before this page, and where it comes from."""
    column.head(wording_card.HEAD_CAUTIONS)
    column.points(page.cautions, 8.0)
    column.text(page.deference, 8.0)
    column.gap(5.0)
    column.strokes.append(Stroke(column.x_pt, column.y_pt, column.width_pt, 0.6, LINE))
    if page.result is not None:
        names = ", ".join(page.result.recordings)
        column.text(wording_card.PAGE_WHERE.format(names=names), 6.6, colour=QUIET)
    column.text(page.made, 7.0, colour=QUIET)
