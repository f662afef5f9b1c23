"""The figure of one result, whatever kind of pull it is of."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.results import PullResult


def draw_result(result: PullResult, path: Path) -> None:
    """Draw one result. Raises InputError where there is nothing to draw, or for an unknown file ending."""
    from tui.figures.kinds import draw_kind
    from tui.figures.pull import draw_pull

    if result.part is None:
        draw_pull(result, path)
    else:
        draw_kind(result, path)


def numbered(path: Path, number: int, of: int) -> Path:
    """The name of one figure of several: out.png becomes out-1.png, out-2.png …"""
    return path if of == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")
