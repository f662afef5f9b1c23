"""Weights and gravity as a person gives them, and the order in which the weights are hung."""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from tui.arguments import Parser, measure
from tui.failure import CommandError
from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.metrology.gravity import Gravity
    from analysis.metrology.weights import Weight

#: Class of weights that a college mostly owns: common practice, no source.
USUAL_CLASS = "M1"


def add_weight_options(parser: Parser) -> None:
    """Add how good the weights are."""
    parser.add_argument(
        "--class",
        dest="weight_class",
        default=USUAL_CLASS,
        metavar="CLASS",
        help=f"class of the weights by OIML R 111: E1 E2 F1 F2 M1 M2 M3 (default {USUAL_CLASS})",
    )
    parser.add_argument(
        "--u-mass-g",
        type=measure,
        metavar="G",
        help="for weights of no class, weighed on a balance: standard uncertainty of each",
    )


def add_gravity_options(parser: Parser) -> None:
    """Add where the rig stands."""
    parser.add_argument(
        "--latitude", type=measure, metavar="DEGREES", help="where the rig stands: gravity depends on it"
    )
    parser.add_argument("--height", type=measure, metavar="M", help="height above the sea (default 0)")
    parser.add_argument(
        "--gravity", metavar="M/S2", help="gravity there, if known better; taken as rounded to its last digit"
    )


def masses(text: str) -> tuple[float, ...]:
    """A converter for argparse: masses [g], in rising order, each once."""
    separator = ";" if ";" in text else ","
    found = []
    for part in text.split(separator):
        try:
            mass = float(part.strip().replace(",", "."))
        except ValueError:
            mass = math.nan
        if not math.isfinite(mass):
            raise argparse.ArgumentTypeError(f"{clean(text)!r} must be masses in grams, such as 10,20,50,100")
        if mass <= 0:
            raise argparse.ArgumentTypeError(
                f"a weight of {mass:g} g can't be hung: give masses above 0 (the zero is taken by itself)"
            )
        found.append(mass)
    return tuple(found)


def gravity_of(args: argparse.Namespace) -> Gravity:
    """Gravity at the rig. Raises CommandError where nobody said where it stands, InputError where it can't be."""
    found = gravity_if_given(args)
    if found is None:
        raise CommandError(
            "Say where the rig stands, --latitude 51.5 --height 30, or its gravity, --gravity 9.812: a guess can "
            "put every force off by a quarter of a percent."
        )
    return found


def gravity_if_given(args: argparse.Namespace) -> Gravity | None:
    """Gravity at the rig, or None where nothing was said of it."""
    from analysis.metrology.gravity import gravity_as_given, normal_gravity

    if args.gravity is not None and (args.latitude is not None or args.height is not None):
        raise CommandError("Give either --gravity, or --latitude with --height, not both.")
    if args.gravity is not None:
        return gravity_as_given(args.gravity)
    if args.latitude is None:
        if args.height is not None:
            raise CommandError("A height alone doesn't tell gravity: give --latitude as well.")
        return None
    return normal_gravity(args.latitude, args.height or 0.0)


def weights_of(args: argparse.Namespace, used_g: Iterable[float]) -> dict[float, Weight]:
    """Each weight used with its uncertainty, by its mass. Raises InputError where its class has none such."""
    from analysis.metrology.weights import Weight, weight_of_class

    sizes = sorted({abs(mass) for mass in used_g if mass})
    if args.u_mass_g is None or not sizes:
        return {mass: weight_of_class(mass, args.weight_class) for mass in sizes}
    if not 0 < args.u_mass_g < sizes[0]:
        raise CommandError(
            f"An uncertainty of {args.u_mass_g:g} g can't be that of a weight of {sizes[0]:g} g: give --u-mass-g "
            "above 0 and well below the smallest weight."
        )
    return {mass: Weight(mass, args.u_mass_g) for mass in sizes}


def hanging_order(weights_g: Iterable[float], repeat: int, *, unloading: bool) -> list[float]:
    """Masses in the order they are hung: nothing, then up, down again if wanted, nothing; so many times."""
    rising = sorted(set(weights_g))
    series = [*rising, *(rising[-2::-1] if unloading else ()), 0.0]
    return [0.0, *series * repeat]
