"""Large figures and words out of block signs, for reading across a room. Pure: text in, rows of text out.

Every sign is drawn from the same 3 × 5 squares; how large a square is follows from the room there is.
"""

from __future__ import annotations

import sys

#: Squares of each sign, row by row; "#" is filled.
SQUARES: dict[str, tuple[str, str, str, str, str]] = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": ("## ", " # ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    "-": ("   ", "   ", "###", "   ", "   "),
    ".": (" ", " ", " ", " ", "#"),
    ":": (" ", "#", " ", "#", " "),
    " ": ("   ", "   ", "   ", "   ", "   "),
    "A": ("###", "# #", "###", "# #", "# #"),
    "B": ("## ", "# #", "## ", "# #", "## "),
    "C": ("###", "#  ", "#  ", "#  ", "###"),
    "D": ("## ", "# #", "# #", "# #", "## "),
    "E": ("###", "#  ", "## ", "#  ", "###"),
    "F": ("###", "#  ", "## ", "#  ", "#  "),
    "G": ("###", "#  ", "# #", "# #", "###"),
    "H": ("# #", "# #", "###", "# #", "# #"),
    "I": ("###", " # ", " # ", " # ", "###"),
    "J": ("  #", "  #", "  #", "# #", "###"),
    "K": ("# #", "# #", "## ", "# #", "# #"),
    "L": ("#  ", "#  ", "#  ", "#  ", "###"),
    "M": ("#   #", "## ##", "# # #", "#   #", "#   #"),
    "N": ("#  #", "## #", "# ##", "#  #", "#  #"),
    "O": ("###", "# #", "# #", "# #", "###"),
    "P": ("###", "# #", "###", "#  ", "#  "),
    "Q": ("###", "# #", "# #", "###", "  #"),
    "R": ("## ", "# #", "## ", "# #", "# #"),
    "S": (" ##", "#  ", " # ", "  #", "## "),
    "T": ("###", " # ", " # ", " # ", " # "),
    "U": ("# #", "# #", "# #", "# #", "###"),
    "V": ("# #", "# #", "# #", "# #", " # "),
    "W": ("#   #", "#   #", "# # #", "## ##", "#   #"),
    "X": ("# #", "# #", " # ", "# #", "# #"),
    "Y": ("# #", "# #", " # ", " # ", " # "),
    "Z": ("###", "  #", " # ", "#  ", "###"),
}

#: Squares high.
TALL = 5

#: Upper and lower half of a cell filled or not, as [upper][lower].
HALVES = ((" ", "▄"), ("▀", "█"))


def bitmap(text: str) -> list[str]:
    """The squares of a text, five rows, one empty column between figures."""
    figures = [SQUARES.get(sign, SQUARES[" "]) for sign in text]
    return [" ".join(figure[row] for figure in figures) for row in range(TALL)]


def small(text: str) -> list[str]:
    """Three rows of text: two squares in a cell, one above the other."""
    squares = bitmap(text)
    squares.append(" " * len(squares[0]))
    pairs = [zip(squares[row], squares[row + 1], strict=True) for row in (0, 2, 4)]
    return ["".join(HALVES[upper == "#"][lower == "#"] for upper, lower in pair) for pair in pairs]


def large(text: str, size: int = 1, sign: str = "█") -> list[str]:
    """Five times `size` rows of text: a square is `2 * size` cells wide and `size` high."""
    rows = ["".join((sign if square == "#" else " ") * 2 * size for square in row) for row in bitmap(text)]
    return [row for row in rows for _ in range(size)]


def figures(text: str, rows: int, *, blocks: bool = True, width: int = sys.maxsize) -> list[str]:
    """The largest figures that `rows` and `width` have room for, of plain "#" where there are no block signs.

    The text itself where there is no room for figures, or where it has signs that are not drawn in squares.
    """
    if not all(sign in SQUARES for sign in text):
        return [text]
    for size in range(rows // TALL, 0, -1):
        drawn = large(text, size) if blocks else bitmap(text)
        if len(drawn[0]) <= width:
            return drawn
    if rows >= 3 and blocks and len(bitmap(text)[0]) <= width:
        return small(text)
    return [text]
