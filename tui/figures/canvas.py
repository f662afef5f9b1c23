"""The sheet every figure is drawn on: size, ink, footer, and how it is saved."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from analysis.errors import InputError

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: File endings a figure can be saved as.
ENDINGS = (".png", ".svg", ".pdf")
#: Dots per inch of a PNG: sharp on a projector and in print.
DPI = 160
#: Ink for curves, told apart by dash and weight as well, so that a grey print loses nothing.
STYLES: tuple[dict[str, Any], ...] = (
    {"color": "#1b1f3b", "linestyle": "-", "linewidth": 2.2},
    {"color": "#b3541e", "linestyle": (0, (6, 2)), "linewidth": 2.2},
    {"color": "#2a7f7a", "linestyle": (0, (1.5, 1.5)), "linewidth": 2.6},
    {"color": "#7a5195", "linestyle": (0, (8, 2, 1.5, 2)), "linewidth": 1.8},
)
INK, FAINT = "#1b1f3b", "#8a8fa3"
SIMULATED_NOTE = "simulated rig, invented strands"


def style(i: int) -> dict[str, Any]:
    """Line style of the i-th curve."""
    return dict(STYLES[i % len(STYLES)])


def new_sheet(width_in: float = 9.0, height_in: float = 5.6) -> tuple[Figure, Axes]:
    """An empty sheet with our axes: no frame on top and right, light level lines."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width_in, height_in), layout="constrained")
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(axis="y", color="#e3e5ec", linewidth=0.8)
    axes.set_axisbelow(True)
    axes.tick_params(colors=INK)
    return figure, axes


def guideline_mark(axes: Axes, guideline_pct: float) -> None:
    """The guideline as a dashed upright with its name at the foot."""
    axes.axvline(guideline_pct, color=FAINT, linewidth=1.4, linestyle=(0, (2, 3)), zorder=1)
    axes.annotate(
        f" guideline {guideline_pct:g} %",
        (guideline_pct, 0),
        xycoords=("data", "axes fraction"),
        xytext=(2, 4),
        textcoords="offset points",
        color=FAINT,
        fontsize=9,
    )


def footer(figure: Figure, text: str, *, simulated: bool) -> None:
    """Source line below the figure; a simulated one says so."""
    figure.supxlabel(
        f"{text}{' · ' + SIMULATED_NOTE if simulated else ''}", fontsize=8, color=FAINT, x=0.01, ha="left"
    )


def save(figure: Figure, path: Path) -> None:
    """Save by the ending of the name. Raises InputError for another ending, OSError where it can't be written."""
    check_ending(path)
    figure.savefig(path, dpi=DPI, facecolor="white")


def check_ending(path: Path) -> None:
    """Raise InputError unless a figure can be saved under that name."""
    if path.suffix.lower() not in ENDINGS:
        raise InputError(f"a figure is saved as {', '.join(ENDINGS)}; {path.name} ends in none of them")
