"""The app's colours: four palettes, each the same names with other values. Knows no widgets.

"peat" is dark, "linen" light, "chalk" for high contrast, "bare" uses no colour at all: there everything rests
on words, signs, bold and reversed letters, as it must in every palette.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.theme import Theme


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours by what they are for."""

    name: str
    dark: bool
    #: Behind everything; behind what is set apart; behind what has the keyboard.
    ground: str
    raised: str
    chosen: str
    #: Text; text beside the point; lines and dots that only guide the eye.
    ink: str
    quiet: str
    faint: str
    #: The strand and what stands for it; the guideline.
    strand: str
    guide: str
    #: Verdicts, beside their words and signs.
    meets: str
    below: str
    unsure: str
    #: The stop bar while the motor runs: its ground and the letters on it.
    alarm: str
    on_alarm: str
    #: Regions of a curve, and further curves.
    elastic: str
    yields: str
    post_yield: str
    fourth: str

    @property
    def is_bare(self) -> bool:
        """Whether it leaves all colours to the terminal."""
        return self.ink == BARE_COLOUR

    def colour(self, name: str) -> str:
        """A colour by the name of its field."""
        return str(getattr(self, name))


#: The terminal's own colour, whatever that is.
BARE_COLOUR = "ansi_default"

PEAT = Palette(
    name="peat", dark=True,
    ground="#191614", raised="#25201c", chosen="#3a3029",
    ink="#eee6da", quiet="#b1a496", faint="#574d45",
    strand="#eba868", guide="#7fc9be",
    meets="#93d3a2", below="#f4907e", unsure="#f0cf74",
    alarm="#b3341f", on_alarm="#ffffff",
    elastic="#8fbbe8", yields="#eba868", post_yield="#dd9ac8", fourth="#bccb6c",
)  # fmt: skip

LINEN = Palette(
    name="linen", dark=False,
    ground="#fbf7f0", raised="#f0e9de", chosen="#e2d5c3",
    ink="#2b2420", quiet="#665a50", faint="#c7baab",
    strand="#9c4a0e", guide="#0b6159",
    meets="#18633a", below="#a3271b", unsure="#735000",
    alarm="#b3261e", on_alarm="#ffffff",
    elastic="#1d5796", yields="#9c4a0e", post_yield="#862b6f", fourth="#535f00",
)  # fmt: skip

CHALK = Palette(
    name="chalk", dark=True,
    ground="#000000", raised="#000000", chosen="#303030",
    ink="#ffffff", quiet="#e4e4e4", faint="#8c8c8c",
    strand="#ffd166", guide="#66f6ff",
    meets="#8affa6", below="#ffa89a", unsure="#ffe866",
    alarm="#ffe866", on_alarm="#000000",
    elastic="#a6d4ff", yields="#ffd166", post_yield="#ffb8f2", fourth="#e0ff7a",
)  # fmt: skip

BARE = Palette("bare", True, *[BARE_COLOUR] * 17)

#: What the screen library wants of a theme without colours of its own: cursor and selection are reversed.
BARE_VARIABLES = {
    **dict.fromkeys(("ansi-background", "ansi-foreground", "border-blurred"), BARE_COLOUR),
    **dict.fromkeys(("block-cursor-background", "block-cursor-foreground"), BARE_COLOUR),
    **dict.fromkeys(("input-cursor-background", "input-cursor-foreground"), BARE_COLOUR),
    **dict.fromkeys(("input-selection-background", "input-selection-foreground"), BARE_COLOUR),
    **dict.fromkeys(("screen-selection-background", "screen-selection-foreground"), BARE_COLOUR),
    "input-cursor-text-style": "reverse",
}

PALETTES = {palette.name: palette for palette in (PEAT, LINEN, CHALK, BARE)}


def theme_of(palette: Palette) -> Theme:
    """The palette as a theme of the screen library; its names are variables of the style sheet."""
    from textual.theme import Theme

    colours = {name: value for name, value in asdict(palette).items() if name not in ("name", "dark")}
    variables = {name.replace("_", "-"): value for name, value in colours.items()}
    return Theme(
        name=palette.name,
        primary=palette.strand,
        secondary=palette.guide,
        accent=palette.strand,
        warning=palette.unsure,
        error=palette.below,
        success=palette.meets,
        foreground=palette.ink,
        background=palette.ground,
        surface=palette.raised,
        panel=palette.chosen,
        boost=palette.raised,
        dark=palette.dark,
        ansi=palette.is_bare,
        variables={**(BARE_VARIABLES if palette.is_bare else {}), **variables},
    )


def first_palette(environment: dict[str, str]) -> Palette:
    """The palette to begin with: none where the person wants no colour, light on a terminal that says it is."""
    if environment.get("NO_COLOR") or environment.get("TERM") in ("dumb", "vt100", "vt220"):
        return BARE
    # The common variable COLORFGBG ends in the number of the background; 7 and 15 are the light ones.
    ground = environment.get("COLORFGBG", "").rpartition(";")[2]
    return LINEN if ground in ("7", "15") else PEAT
