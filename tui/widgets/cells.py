"""One row of a drawing, as signs with roles; runs of one role become spans. Knows no colours and no screen."""

from __future__ import annotations

from typing import NamedTuple


class Span(NamedTuple):
    """Signs in a row that look alike; what the look is depends on the role and the theme."""

    text: str
    role: str


class Cells:
    """A row of single-width signs that is written into at any place."""

    __slots__ = ("roles", "signs")

    def __init__(self, width: int) -> None:
        self.signs = [" "] * width
        self.roles = ["blank"] * width

    def put(self, column: int, text: str, role: str) -> None:
        """Write `text` from `column` on; what would stand outside the row is cut off."""
        for offset, sign in enumerate(text):
            if 0 <= column + offset < len(self.signs):
                self.signs[column + offset] = sign
                self.roles[column + offset] = role

    def free(self, start: int, end: int) -> bool:
        """Whether the cells from `start` up to `end` are in the row and blank."""
        return 0 <= start <= end <= len(self.signs) and all(sign == " " for sign in self.signs[start:end])

    def spans(self) -> tuple[Span, ...]:
        """The row as runs of one role."""
        out: list[Span] = []
        start = 0
        for index in range(1, len(self.roles) + 1):
            if index == len(self.roles) or self.roles[index] != self.roles[start]:
                out.append(Span("".join(self.signs[start:index]), self.roles[start]))
                start = index
        return tuple(out)


def text_of(spans: tuple[Span, ...]) -> str:
    """The row as text, without blanks at its end."""
    return "".join(span.text for span in spans).rstrip()
