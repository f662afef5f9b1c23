"""The signs that widgets draw with: line-drawing and braille, or plain letters where the terminal lacks them."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from typing import TextIO

from tui.widgets.braille import BRAILLE_BASE, BRAILLE_GRID, PLAIN_GRID, Grid, Pen


@dataclass(frozen=True, slots=True)
class Signs:
    """One set of signs. Every sign is one cell wide."""

    grid: Grid
    #: For each line in turn the signs of a cell by its bits; 0 is never drawn.
    cells: tuple[tuple[str, ...], ...]
    #: How each line in turn is stroked, and a sample of it for its label.
    pens: tuple[Pen, ...]
    samples: tuple[str, ...]
    upright: str
    tick_left: str
    level: str
    tick_below: str
    corner: str
    guide: str
    boundary: str
    crossing: str
    pointer: str
    cursor: str
    pin: str
    band_left: str
    band_right: str
    band_fill: str
    more: str
    clamp_left: str
    clamp_right: str
    thread: str
    thread_ahead: str
    bar: str
    dot: str
    ring: str
    arrow_left: str
    arrow_right: str
    #: Whether block signs are there, for large figures.
    blocks: bool

    def cell(self, line: int, bits: int) -> str:
        """The sign of a cell of a line."""
        return self.cells[line % len(self.cells)][bits]

    def pen(self, line: int) -> Pen:
        """How a line is stroked."""
        return self.pens[line % len(self.pens)]

    def sample(self, line: int) -> str:
        """A short piece of a line, for its label."""
        return self.samples[line % len(self.samples)]


BRAILLE = Signs(
    grid=BRAILLE_GRID,
    cells=(tuple(chr(BRAILLE_BASE + bits) for bits in range(256)),),
    pens=(Pen(), Pen(4, 8), Pen(thick=2), Pen(1, 3)),
    samples=("⠤⠤⠤", "⠤ ⠤", "⠶⠶⠶", "⠄⠠ "),
    upright="│",
    tick_left="┤",
    level="─",
    tick_below="┬",
    corner="└",
    guide="┊",
    boundary="╎",
    crossing="·",
    pointer="▾",
    cursor="│",
    pin="╳",
    band_left="╶",
    band_right="╴",
    band_fill="─",
    more="…",
    clamp_left="▐",
    clamp_right="▌",
    thread="━",
    thread_ahead="╌",
    bar="▌",
    dot="●",
    ring="○",
    arrow_left="◂",
    arrow_right="▸",
    blocks=True,
)

PLAIN = Signs(
    grid=PLAIN_GRID,
    cells=(("", "'", ".", ":"), ("", "o", "o", "o"), ("", "+", "+", "+"), ("", "x", "x", "x")),
    pens=(Pen(),),
    samples=("...", "ooo", "+++", "xxx"),
    upright="|",
    tick_left="+",
    level="-",
    tick_below="+",
    corner="+",
    guide="!",
    boundary="|",
    crossing=" ",
    pointer="v",
    cursor="|",
    pin="X",
    band_left="<",
    band_right=">",
    band_fill="-",
    more="~",
    clamp_left="|",
    clamp_right="|",
    thread="=",
    thread_ahead="-",
    bar="|",
    dot="*",
    ring="o",
    arrow_left="<",
    arrow_right=">",
    blocks=False,
)


def signs_for(encoding: str | None) -> Signs:
    """The signs that a terminal of this encoding can show."""
    try:
        "⣿┊▾█".encode(encoding or "ascii")
    except (LookupError, UnicodeEncodeError):
        return PLAIN
    return BRAILLE


def terminal_signs() -> Signs:
    """The signs that the terminal of the app can show."""
    return signs_for(getattr(app_stream(), "encoding", None))


def app_stream() -> TextIO | None:
    """What the screen library draws on."""
    return sys.__stdout__ if sys.platform == "win32" else sys.__stderr__
