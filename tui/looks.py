"""What each role of a drawn sign looks like in a palette: colour, and what says the same without colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.palettes import Palette

if TYPE_CHECKING:
    from rich.style import Style


@dataclass(frozen=True, slots=True)
class Look:
    """Colour of the sign and, where it has one of its own, of its ground, by their names in a palette."""

    colour: str = "ink"
    ground: str = ""
    bold: bool = False
    #: Exchange sign and ground where the palette has no colours.
    reversed_bare: bool = False
    dim_bare: bool = False


LOOKS = {
    "blank": Look(),
    "text": Look(),
    "strong": Look(bold=True),
    "quiet": Look("quiet"),
    "title": Look("quiet"),
    "label": Look("quiet"),
    "reading": Look("ink", bold=True),
    "axis": Look("faint", dim_bare=True),
    "grid": Look("faint", dim_bare=True),
    "guide": Look("guide"),
    "boundary": Look("faint", dim_bare=True),
    "cursor": Look("quiet"),
    "pin": Look("ink", bold=True),
    "point": Look("ground", "ink", reversed_bare=True),
    "line0": Look("strand"),
    "line1": Look("elastic"),
    "line2": Look("post_yield"),
    "line3": Look("fourth"),
    "band0": Look("elastic"),
    "band1": Look("yields"),
    "band2": Look("post_yield"),
    "region0": Look("elastic", bold=True),
    "region1": Look("yields", bold=True),
    "region2": Look("post_yield", bold=True),
    "thread": Look("strand"),
    "thread_ahead": Look("faint", dim_bare=True),
    "here": Look("ground", "strand", bold=True, reversed_bare=True),
    "passed": Look("strand"),
    "ahead": Look("quiet"),
    "figure": Look("ink", bold=True),
    "figure_force": Look("strand", bold=True),
    "unit": Look("quiet"),
    "simulated": Look("ground", "guide", bold=True, reversed_bare=True),
    "good": Look("meets"),
    "bad": Look("below", bold=True),
    "unsure": Look("unsure", bold=True),
    "moving": Look("on_alarm", "alarm", bold=True, reversed_bare=True),
    "key": Look("strand", bold=True),
    "still": Look("quiet", "raised"),
    "still_key": Look("ink", "raised", bold=True),
    "alarm": Look("on_alarm", "alarm", bold=True, reversed_bare=True),
    "chosen": Look("ground", "strand", bold=True, reversed_bare=True),
}


def style_of(role: str, palette: Palette, ground: str) -> Style:
    """The terminal style of a role on the ground that a widget has."""
    from rich.style import Style

    look = LOOKS[role]
    if palette.is_bare:
        return Style(bold=look.bold or None, reverse=look.reversed_bare or None, dim=look.dim_bare or None)
    return Style(
        color=palette.colour(look.colour),
        bgcolor=palette.colour(look.ground) if look.ground else ground,
        bold=look.bold or None,
    )
