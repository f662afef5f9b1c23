"""A4 paper that text is set on from the top down, in columns: measures words, breaks lines, keeps what it has set.

Nothing is drawn before it is known that all of it fits. Knows matplotlib's fonts, nothing of what is set.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tui.text_width import tied

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: The paper and its margin [points of 1/72 inch].
WIDTH_PT, HEIGHT_PT, MARGIN_PT = 595.28, 841.89, 40.0

#: Height of a line over the size of its letters.
LEADING = 1.28

#: What stands for a sign that the font lacks.
NO_PICTURE = "\u25a1"

#: Letters are measured at this size [points].
MEASURED_AT_PT = 200.0

INK, QUIET, LINE = "#1f1a17", "#5c544d", "#b9b0a6"


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text and where its left end stands [points from the left and from the top]."""

    text: str
    x_pt: float
    y_pt: float
    size_pt: float
    bold: bool
    colour: str


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line, or a box where it is thick."""

    x_pt: float
    y_pt: float
    width_pt: float
    thick_pt: float
    colour: str


class Column:
    """A column of the paper; `scale` makes all letters smaller alike."""

    def __init__(self, x_pt: float, y_pt: float, width_pt: float, scale: float = 1.0) -> None:
        self.x_pt, self.y_pt, self.width_pt, self.scale = x_pt, y_pt, width_pt, scale
        self.words: list[Words] = []
        self.strokes: list[Stroke] = []

    def text(
        self,
        text: str,
        size_pt: float = 8.6,
        *,
        bold: bool = False,
        colour: str = INK,
        indent_pt: float = 0.0,
        lead: str = "",
    ) -> None:
        """A paragraph; `lead` stands before its first line, in the room of the indent."""
        size = size_pt * self.scale
        for number, line in enumerate(broken(text, size, self.width_pt - indent_pt, bold=bold)):
            self.y_pt += LEADING * size
            if lead and number == 0:
                self.words.append(Words(drawable(lead), self.x_pt, self.y_pt, size, bold, colour))
            self.words.append(Words(line, self.x_pt + indent_pt, self.y_pt, size, bold, colour))

    def head(self, text: str) -> None:
        """A heading with a line above it."""
        self.gap(7.0)
        self.strokes.append(Stroke(self.x_pt, self.y_pt, self.width_pt, 0.6, LINE))
        self.text(text, 8.0, bold=True, colour=QUIET)
        self.gap(1.0)

    def points(self, sentences: tuple[str, ...], size_pt: float = 8.6) -> None:
        """Sentences as a list."""
        for sentence in sentences:
            self.text(sentence, size_pt, indent_pt=9.0 * self.scale, lead="•")
            self.gap(1.2)

    def row(
        self, cells: tuple[str, ...], shares: tuple[float, ...], size_pt: float = 8.2, *, colour: str = INK
    ) -> None:
        """Cells side by side, each in its share of the width; the row is as high as its highest cell."""
        x_pt, top = self.x_pt, self.y_pt
        lowest = top
        for cell, share in zip(cells, shares, strict=True):
            inner = Column(x_pt, top, share * self.width_pt - 4.0, self.scale)
            inner.text(cell, size_pt, colour=colour)
            self.words += inner.words
            x_pt += share * self.width_pt
            lowest = max(lowest, inner.y_pt)
        self.y_pt = lowest

    def gap(self, height_pt: float) -> None:
        """Leave room."""
        self.y_pt += height_pt * self.scale

    def draw(self, figure: Figure) -> None:
        """Put everything on the paper."""
        from matplotlib.patches import Rectangle

        for one in self.strokes:
            corner = (one.x_pt / WIDTH_PT, 1 - (one.y_pt + one.thick_pt) / HEIGHT_PT)
            size = (one.width_pt / WIDTH_PT, one.thick_pt / HEIGHT_PT)
            figure.add_artist(Rectangle(corner, *size, color=one.colour, linewidth=0))
        for word in self.words:
            figure.text(
                word.x_pt / WIDTH_PT,
                1 - word.y_pt / HEIGHT_PT,
                word.text,
                fontsize=word.size_pt,
                fontweight="bold" if word.bold else "normal",
                color=word.colour,
                parse_math=False,
            )


@functools.cache
def _font(bold: bool) -> Any:  # noqa: ANN401 - the library's own font object
    from matplotlib.font_manager import FontProperties, findfont, get_font

    return get_font(findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")))


def drawable(text: str) -> str:
    """The text with a box for every sign that the font has no picture of."""
    known = _font(False)
    return "".join(sign if known.get_char_index(ord(sign)) else NO_PICTURE for sign in text)


@functools.lru_cache(maxsize=4096)
def _width_per_pt(text: str, bold: bool) -> float:
    """Width of a text over the size of its letters; measured large, where no letter is moved to fit a grid."""
    font = _font(bold)
    font.set_size(MEASURED_AT_PT, 72)
    font.set_text(text, 0.0)
    return float(font.get_width_height()[0]) / 64 / MEASURED_AT_PT


def width_of(text: str, size_pt: float, *, bold: bool = False) -> float:
    """Width of a line [points]: its words and the spaces between them."""
    words = text.split(" ")
    space = _width_per_pt("i i", bold) - _width_per_pt("ii", bold)
    return size_pt * (sum(_width_per_pt(word, bold) for word in words) + space * (len(words) - 1))


def broken(text: str, size_pt: float, width_pt: float, *, bold: bool = False) -> list[str]:
    """The text as lines that fit; a word that is longer than a line is cut."""
    lines: list[str] = []
    line = ""
    for word in filter(None, drawable(tied(text)).split(" ")):
        longer = f"{line} {word}" if line else word
        if width_of(longer, size_pt, bold=bold) <= width_pt:
            line = longer
            continue
        lines += [line] if line else []
        *whole, line = _cut(word, size_pt, width_pt, bold=bold)
        lines += whole
    return [*lines, line] if line else lines


def _cut(word: str, size_pt: float, width_pt: float, *, bold: bool) -> list[str]:
    """A word in pieces that fit."""
    pieces = [""]
    for sign in word:
        if pieces[-1] and width_of(pieces[-1] + sign, size_pt, bold=bold) > width_pt:
            pieces.append("")
        pieces[-1] += sign
    return pieces
