"""The curve of a result as lines of text, drawn with the same pen as on the app's screen."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from tui.safe_text import clean
from tui.text_width import text_width
from tui.widgets.drawing import render_rows
from tui.widgets.picture import Axis, Band, Guideline, Line
from tui.widgets.plot_view import PlotView
from tui.widgets.points import Points
from tui.widgets.signs import signs_for
from tui.wording import GUIDELINE, REGION_NAMES

if TYPE_CHECKING:
    from analysis.results import PullResult

#: Rows of the plot, axes included: small enough to leave room for the numbers.
ROWS = 16
#: Widest plot [columns].
WIDEST = 78

STRETCH = Axis("stretch", "%")
FORCE = Axis("force", "N")


def curve_lines(result: PullResult) -> list[str]:
    """The force over the stretch, with the guideline and the regions; nothing where there is no curve."""
    bands = [Band(REGION_NAMES.get(r.name, r.name), r.start_pct, r.end_pct) for r in result.regions]
    return _drawn([_line(result, "")], result.verdict.guideline_pct, bands)


def curves_lines(results: Sequence[PullResult], names: Sequence[str]) -> list[str]:
    """Several results in one picture; nothing where none has a curve."""
    lines = [_line(result, name) for result, name in zip(results, names, strict=True)]
    return _drawn(lines, results[0].verdict.guideline_pct, [])


def _line(result: PullResult, name: str) -> Line:
    curve = result.curve
    points = Points() if curve is None else Points(curve.strain_pct.tolist(), curve.force_n.tolist())
    return Line(points, clean(name))


def _drawn(lines: list[Line], guideline_pct: float, bands: list[Band]) -> list[str]:
    if not any(len(line.points) for line in lines):
        return []
    view = PlotView(STRETCH, FORCE, Guideline(guideline_pct, GUIDELINE.format(percent=guideline_pct)))
    view.show(lines, bands)
    signs = signs_for(getattr(sys.stdout, "encoding", None))
    return [row.rstrip() for row in render_rows(view.picture, min(text_width(), WIDEST), ROWS, signs)]
