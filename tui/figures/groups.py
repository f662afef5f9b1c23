"""Figures of several pulls: groups of curves overlaid, and the elongations strand by strand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from analysis.results import PullResult
from analysis.series.band import all_in_stress, band
from analysis.series.observation import observe
from analysis.series.summary import SeriesSummary
from tui.figures.canvas import FAINT, INK, footer, guideline_mark, new_sheet, save, style

Groups = Mapping[str, Sequence[PullResult]]


def draw_overlay(groups: Groups, path: Path, guideline_pct: float) -> None:
    """Overlay groups: the median of each with its middle half, named at the end of its curve.

    Raises ValueError where a group has no curve, or for an unknown file ending.
    """
    figure, axes = new_sheet()
    curves = {name: [r.curve for r in results if r.curve is not None] for name, results in groups.items()}
    in_stress = all_in_stress([c for group in curves.values() for c in group])
    for i, (name, results) in enumerate(groups.items()):
        made = band(curves[name], in_stress=in_stress)
        look = style(i)
        axes.fill_between(made.strain_pct, made.low, made.high, color=look["color"], alpha=0.15, linewidth=0)
        axes.plot(made.strain_pct, made.median, **look)
        count = f"{len(results)} strand{'' if len(results) == 1 else 's'}"
        axes.annotate(
            f" {name} ({count})",
            (made.strain_pct[-1], made.median[-1]),
            color=look["color"],
            va="center",
            fontsize=10,
        )
    axes.set_xlabel("stretch [% of length]")
    axes.set_ylabel("stress [MPa]" if in_stress else "force [N]")
    axes.margins(x=0.2)
    axes.set_xlim(left=0)
    axes.set_ylim(bottom=0)
    guideline_mark(axes, guideline_pct)
    everything = [r for results in groups.values() for r in results]
    note = "line: median of the strands still whole · shade: the middle half of them"
    footer(figure, note, simulated=any(r.simulated for r in everything))
    save(figure, path)


def draw_elongations(groups: Groups, summaries: Sequence[SeriesSummary], path: Path, guideline_pct: float) -> None:
    """Every strand's elongation as a mark on its group's line: × broke, › did not break (at least so far)."""
    figure, axes = new_sheet(height_in=1.6 + 0.8 * len(groups))
    for i, (results, summary) in enumerate(zip(groups.values(), summaries, strict=True)):
        seen, _ = observe(results)
        colour = style(i)["color"]
        for observation in seen:
            mark = ">" if observation.censored else "x"
            axes.plot(observation.value, i, mark, color=colour, markersize=8, fillstyle="none")
        if summary.mean_interval is not None:
            axes.plot(
                [summary.mean_interval.low, summary.mean_interval.high], [i - 0.25] * 2, color=colour, linewidth=4
            )
    axes.set_yticks(range(len(groups)), list(groups))
    axes.set_ylim(len(groups) - 0.4, -0.6)
    axes.set_xlim(left=0)
    axes.set_xlabel("elongation at break [% of length]", color=INK)
    axes.grid(axis="x", color="#e3e5ec")
    axes.tick_params(axis="y", length=0, labelcolor=INK)
    guideline_mark(axes, guideline_pct)
    everything = [r for results in groups.values() for r in results]
    note = "× broke there · › did not break, at least so far · bar: 95 % interval of the mean"
    footer(figure, note, simulated=any(r.simulated for r in everything))
    axes.spines["left"].set_color(FAINT)
    save(figure, path)
