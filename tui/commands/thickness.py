"""`strandbench thickness`: a strand's cross-section and how sure it is, from whatever was measured."""

from __future__ import annotations

import argparse
from typing import Any

from tui.arguments import Subparsers, add_command, add_json
from tui.failure import DONE, LONGEST_SENTENCE, CommandError
from tui.format import ABOUT_MARGIN, quantity_text
from tui.output import say, say_json
from tui.safe_text import clean
from tui.text_width import wrapped
from tui.thickness import Thickness, add_thickness_options, thickness_of

SUMMARY = "work out how thick a strand is, and how sure that is"

PURPOSE = """
Work out a strand's cross-section from a micrometer, from the fringes it makes in a laser beam, or from mass and
length, with its uncertainty and what would make it surer. The same options stand in `pull` and `analyse`.

A strand is an ellipse: one reading of its diameter may have caught either side, so it is worth little. Readings of
the wide and the narrow side at three places are good. Never look into a laser, or at its shine on the strand's
clamps: follow the maker's instructions and the rules of your laboratory."""

EXAMPLES = """
strandbench thickness --axes-um 88x64,90x62,86x65
strandbench thickness --diameter-um 70
strandbench thickness --fringe-full-mm 20 --screen-mm 1000 --wavelength-nm 650
strandbench thickness --mass-mg 1.52 --length-mm 300"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    parser = add_command(
        subparsers, "thickness", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes="[options]"
    )
    add_thickness_options(parser)
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Print the cross-section."""
    found = thickness_of(args)
    if found is None:
        raise CommandError(
            "Nothing was measured: give --axes-um, --diameter-um, --fringe-mm with --screen-mm, or --mass-mg with "
            "--length-mm."
        )
    if args.json:
        quantities = {name: quantity.to_json() for name, quantity in _quantities(found).items()}
        say_json([{**quantities, "method": found.method, "advice": found.advice}], as_list=False)
    else:
        _say(found)
    return DONE


def _quantities(found: Thickness) -> dict[str, Any]:
    from analysis.results import Measured, NotMeasured

    diameter = found.equivalent_diameter_um
    weighed: Measured | NotMeasured = NotMeasured("the strand was not weighed: give --mass-mg and --length-mm")
    if found.linear_density_tex is not None:
        weighed = Measured(found.linear_density_tex, found.u_linear_density_tex or 0.0)
    return {
        "area_um2": Measured(found.area_um2, found.u_area_um2),
        "equivalent_diameter_um": Measured(diameter, diameter * found.u_area_um2 / found.area_um2 / 2),
        "linear_density_tex": weighed,
    }


def _say(found: Thickness) -> None:
    labels = {
        "area_um2": "cross-section",
        "equivalent_diameter_um": "diameter of as large a circle",
        "linear_density_tex": "linear density",
    }
    for name, quantity in _quantities(found).items():
        say(wrapped(f"{labels[name]:30} {quantity_text(name, quantity)}", hang=31))
    say(wrapped(f"{'found by':30} {found.method}", hang=31))
    say(wrapped(ABOUT_MARGIN))
    say(wrapped(f"To be surer: {clean(found.advice, LONGEST_SENTENCE)}."))
