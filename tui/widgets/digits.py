"""Large figures out of block signs, for reading across a room. Pure: text in, rows of text out.

Every figure is drawn from the same 3 × 5 squares; how large a square is follows from the rows there are.
"""

from __future__ import annotations

#: Squares of each figure, row by row; "#" is filled. Signs that are not here are left blank.
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


def figures(text: str, rows: int, *, blocks: bool = True) -> list[str]:
    """The largest figures that `rows` have room for, of plain "#" where there are no block signs.

    The text itself where there is no room for figures.
    """
    if rows < 3 or (rows < TALL and not blocks):
        return [text]
    if not blocks:
        return bitmap(text)
    return small(text) if rows < TALL else large(text, rows // TALL)
