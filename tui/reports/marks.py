"""The strands of a check as one small drawing: a row each, against the guideline. Readable in grey.

Drawn the same on the PDF and, as a picture in the text, in the HTML.
"""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

from tui import wording_card as wording

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from tui.reports.page import Result

#: Ink and what only guides the eye.
INK, FAINT = "#1f1a17", "#8c857e"

#: Room of one strand's row, of all rows at most, and of the axis below them [inches].
ROW_IN, ROWS_IN, FOOT_IN = 0.16, 2.4, 0.42

#: Size of the letters [points].
LETTERS_PT = 7.0


def height_in(result: Result) -> float:
    """Height that the drawing needs [inches]."""
    return min(ROW_IN * max(len(result.marks), 3), ROWS_IN) + FOOT_IN


def draw_marks(axes: Axes, result: Result) -> None:
    """Draw the strands on our axes: a strand between its row's number and how far it went."""
    marks = result.marks
    for row, mark in enumerate(marks):
        axes.plot([0, mark.stretch_pct], [row, row], color=FAINT, linewidth=0.8, solid_capstyle="butt", zorder=1)
        if mark.at_least:
            axes.plot(mark.stretch_pct, row, marker=">", markersize=5, markerfacecolor="white", color=INK, zorder=3)
        else:
            axes.errorbar(
                mark.stretch_pct, row, xerr=mark.margin_pct, fmt="o", markersize=3.6, color=INK, capsize=2
            )
    axes.axvline(result.guideline_pct, color=INK, linewidth=1.0, linestyle=(0, (3, 3)), zorder=0)
    _dress(axes, result)


def _dress(axes: Axes, result: Result) -> None:
    """Axis, names of the rows, and the guideline's name above it."""
    marks = result.marks
    rows = max(len(marks), 3)
    reach = max((mark.stretch_pct + mark.margin_pct for mark in marks), default=0.0)
    axes.set_xlim(0, max(1.08 * reach, 1.5 * result.guideline_pct))
    axes.set_ylim(rows - 0.4, -0.9)
    axes.set_yticks(range(len(marks)), [str(mark.number) for mark in marks])
    axes.tick_params(axis="both", length=2, labelsize=LETTERS_PT, colors=INK, pad=2)
    axes.tick_params(axis="y", labelsize=min(LETTERS_PT, 72 * ROWS_IN / rows))
    axes.spines[["top", "right", "left"]].set_visible(False)
    axes.set_xlabel(wording.PAGE_AXIS, fontsize=LETTERS_PT, color=INK, labelpad=2)
    axes.annotate(
        wording.PAGE_GUIDELINE.format(guideline=result.guideline_pct),
        (result.guideline_pct, -0.9),
        xytext=(3, -1),
        textcoords="offset points",
        va="top",
        fontsize=LETTERS_PT,
        color=INK,
    )


def marks_svg(result: Result, width_in: float = 4.6) -> str:
    """The drawing as a piece of SVG that can stand inside HTML. Imports matplotlib."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width_in, height_in(result)), layout="constrained")
    draw_marks(figure.add_subplot(), result)
    buffer = io.StringIO()
    nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
    with mpl.rc_context({"svg.hashsalt": "strands"}):
        figure.savefig(buffer, format="svg", metadata=nothing, transparent=True)
    svg = buffer.getvalue()
    return re.sub(r"<metadata>.*?</metadata>", "", svg[svg.index("<svg") :], flags=re.DOTALL).strip()
