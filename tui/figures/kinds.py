"""The figures of pulls not to the break: the way there and back, a force that relaxes, before and after."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from analysis.errors import InputError
from analysis.kinds.before_after import BeforeAfter
from analysis.kinds.result import KindLine, KindResult
from analysis.results import Measured, PullResult, Quantity
from analysis.words import with_uncertainty
from tui.figures.canvas import FAINT, INK, STYLES, footer, guideline_mark, new_sheet, save, style

if TYPE_CHECKING:
    from matplotlib.axes import Axes

INTERVAL_NOTE = "± is two standard uncertainties (about 95 %)"
#: Strain up to which the work is compared before and after [%].
INDEX_PCT = 20.0


def draw_kind(result: PullResult, path: Path) -> None:
    """Draw what the kind of pull shows. Raises InputError where there is nothing to draw, or for another ending."""
    part = result.part
    if not isinstance(part, KindResult) or not part.lines:
        raise InputError(f"{result.recording} has no curve to draw")
    figure, axes = new_sheet()
    axes.set_title(part.statement, loc="left", fontsize=10, color=INK, wrap=True)
    axes.set_ylabel("force [N]")
    if part.kind == "hold":
        _relaxation(axes, part)
    else:
        _loop(axes, part, result.verdict.guideline_pct)
    footer(figure, f"{result.recording} · {INTERVAL_NOTE}", simulated=result.simulated)
    save(figure, path)


def draw_before_after(found: BeforeAfter, path: Path) -> None:
    """Draw both curves with the work to 20 % strain shaded. Raises InputError for another ending."""
    figure, axes = new_sheet()
    for i, line in enumerate(found.lines):
        look = style(i)
        inside = (line.x >= 0.0) & (line.x <= INDEX_PCT)
        axes.fill_between(line.x[inside], line.y[inside], color=look["color"], alpha=0.12, linewidth=0)
        axes.plot(line.x, line.y, **look)
        axes.annotate(f" {line.name}", (line.x[-1], line.y[-1]), color=look["color"], va="center", fontsize=10)
    axes.axvline(INDEX_PCT, color=FAINT, linewidth=1.0)
    left = found.work_to_20pct_left_pct
    title = f"work to 20 % strain left: {_text(left, '%')}" if isinstance(left, Measured) else found.statement
    axes.set_title(title, loc="left", fontsize=10, color=INK, wrap=True)
    axes.set_xlabel("stretch [% of length]")
    axes.set_ylabel("force [N]")
    axes.margins(x=0.12)
    axes.set_xlim(left=0.0)
    axes.set_ylim(bottom=0.0)
    footer(figure, f"{found.before} · {found.after} · {INTERVAL_NOTE}", simulated=found.simulated)
    save(figure, path)


def _loop(axes: Axes, part: KindResult, guideline_pct: float) -> None:
    """Stretch, way back and second stretch, with what of the length has not come back."""
    for i, line in enumerate(part.lines):
        axes.plot(line.x, line.y, **style(i), label=line.name)
    for name, when, place in (("set_at_once_pct", "at once", 1), ("set_after_rest_pct", "after the rest", 2)):
        found = part.quantities.get(name)
        if isinstance(found, Measured):
            _mark(axes, found, when, STYLES[place]["color"])
    axes.set_xlabel("stretch [% of length]")
    axes.set_ylim(bottom=min(0.0, *(float(np.min(line.y)) for line in part.lines)))
    axes.margins(x=0.12)
    axes.legend(frameon=False, labelcolor=INK, loc="center", fontsize=9)
    guideline_mark(axes, guideline_pct)


def _mark(axes: Axes, found: Measured, when: str, colour: str) -> None:
    """Where on the strain axis the strand was slack, or taut again: what of its length had not come back."""
    axes.errorbar(
        found.value,
        0.0,
        xerr=2 * found.u,
        fmt="^",
        color=colour,
        capsize=3,
        markersize=7,
        clip_on=False,
        label=f"not come back {when}: {_text(found, '%')}",
    )


def _relaxation(axes: Axes, part: KindResult) -> None:
    """The readings as they came, the law on top, the half-time and what is left."""
    readings, *laws = part.lines
    axes.plot(readings.x, readings.y, ".", color=FAINT, markersize=2, label="readings")
    for law in laws:
        axes.plot(law.x, law.y, **style(0), label=law.name)
        _half(axes, part, law)
    left = part.quantities.get("force_left_n")
    if isinstance(left, Measured):
        axes.axhline(left.value, color=FAINT, linewidth=1.0)
        axes.annotate(
            f"left in the end: {_text(left, 'N')}",
            (float(readings.x[-1]), left.value),
            xytext=(0, 4),
            textcoords="offset points",
            ha="right",
            color=INK,
            fontsize=9,
        )
    axes.set_xlabel("time since the stretch stood [s]")
    axes.set_xlim(left=0.0)
    axes.legend(frameon=False, labelcolor=INK)


def _half(axes: Axes, part: KindResult, law: KindLine) -> None:
    half = part.quantities.get("half_time_s")
    if not isinstance(half, Measured):
        return
    at = float(np.interp(half.value, law.x, law.y))
    axes.plot(half.value, at, "o", color=INK, markersize=7, fillstyle="none")
    axes.annotate(
        f"half-time {_text(half, 's')}", (half.value, at), xytext=(10, 10), textcoords="offset points", color=INK
    )


def _text(found: Quantity, unit: str) -> str:
    return with_uncertainty(found.value, found.u, unit) if isinstance(found, Measured) else ""
