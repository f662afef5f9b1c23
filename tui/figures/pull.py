"""The figure of one pull: its curve, its regions, its break with uncertainty, its numbers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from analysis.errors import InputError
from analysis.results import Measured, PullResult
from tui.figures.canvas import FAINT, INK, footer, guideline_mark, new_sheet, save, style

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Names of the regions as a reader meets them.
REGION_WORDS = {"elastic": "elastic", "yield": "yield", "post_yield": "post-yield"}
#: Shades of the regions, light enough for a curve on top.
SHADES = ("#f4f1ea", "#e8edf3", "#f4f1ea")


def draw_pull(result: PullResult, path: Path) -> None:
    """Draw one result. Raises InputError where there is no curve, or for an unknown file ending."""
    if result.curve is None:
        raise InputError(f"{result.recording} has no curve to draw")
    curve = result.curve
    figure, axes = new_sheet()
    y, unit = (curve.stress_mpa, "stress [MPa]") if curve.stress_mpa is not None else (curve.force_n, "force [N]")
    axes.plot(curve.strain_pct, y, **style(0))
    axes.set_xlabel("stretch [% of length]")
    axes.set_ylabel(unit)
    axes.set_title(result.verdict.statement, loc="left", fontsize=10, color=INK, wrap=True)
    _regions(axes, result)
    guideline_mark(axes, result.verdict.guideline_pct)
    elongation = result.elongation_at_break_pct
    if isinstance(elongation, Measured):
        axes.errorbar(elongation.value, y[-1], xerr=2 * elongation.u, fmt="x", color=INK, capsize=4, markersize=9)
        axes.annotate(
            f"break {elongation.value:.1f} % ± {2 * elongation.u:.1f} %",
            (elongation.value, y[-1]),
            xytext=(-8, 10),
            textcoords="offset points",
            ha="right",
            color=INK,
        )
    axes.set_xlim(left=min(0.0, float(curve.strain_pct[0])))
    axes.set_ylim(bottom=min(0.0, float(y.min())), top=float(y.max()) * 1.15)
    footer(figure, f"{result.recording} · ± is two standard uncertainties (about 95 %)", simulated=result.simulated)
    save(figure, path)


def _regions(axes: Axes, result: PullResult) -> None:
    for region, shade in zip(result.regions, SHADES, strict=False):
        axes.axvspan(region.start_pct, region.end_pct, color=shade, zorder=0)
        axes.annotate(
            REGION_WORDS.get(region.name, region.name),
            ((region.start_pct + region.end_pct) / 2, 0.98),
            xycoords=("data", "axes fraction"),
            ha="center",
            va="top",
            rotation=0 if region.end_pct - region.start_pct > 6 else 90,
            fontsize=9,
            color=FAINT,
        )
