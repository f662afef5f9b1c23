"""How thick a strand is, as a person gives it on the command line: one way or another to its cross-section."""

from __future__ import annotations

import argparse
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tui.arguments import measure, number, whole
from tui.failure import CommandError
from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.metrology.cross_section import CrossSection
    from recordings.format import Specimen

#: Standard uncertainties where nobody gave any; all common practice, no source. A micrometer screw on a soft fibre
#: [µm]; a dark fringe marked on paper [mm]; a tape measure from strand to screen [mm]; a laser pointer's wavelength
#: [nm]; a balance that shows 0.01 mg [mg]; a ruler along a strand [mm].
U_READING_UM = 1.0
U_FRINGE_MM = 0.5
U_SCREEN_MM = 2.0
U_WAVELENGTH_NM = 5.0
U_MASS_MG = 0.01
U_LENGTH_MM = 0.5
#: Share of a single reading of a diameter that its standard uncertainty is. Common practice, no source.
U_DIAMETER_SHARE = 0.03
#: A red laser pointer [nm].
USUAL_WAVELENGTH_NM = 650.0


@dataclass(frozen=True, slots=True)
class Thickness:
    """The cross-section [µm²] and linear density [tex] of a strand, each with its standard uncertainty.

    `advice` says what would make it surer; `diameter_um` is the reading where there was one.
    """

    area_um2: float
    u_area_um2: float
    method: str
    advice: str
    diameter_um: float | None = None
    u_diameter_um: float | None = None
    linear_density_tex: float | None = None
    u_linear_density_tex: float | None = None

    @property
    def equivalent_diameter_um(self) -> float:
        """Diameter of the circle with the same area."""
        return math.sqrt(4 * self.area_um2 / math.pi)

    def on(self, specimen: Specimen) -> Specimen:
        """The specimen with this thickness instead of any it had."""
        return replace(
            specimen,
            diameter_um=self.diameter_um,
            u_diameter_um=self.u_diameter_um,
            area_um2=self.area_um2,
            u_area_um2=self.u_area_um2,
            area_method=self.method,
            linear_density_tex=self.linear_density_tex,
            u_linear_density_tex=self.u_linear_density_tex,
        )


def add_thickness_options(parser: argparse.ArgumentParser) -> None:
    """Add the ways to say how thick a strand is."""
    group = parser.add_argument_group("how thick the strand is (one way)")
    group.add_argument("--diameter-um", type=measure, metavar="UM", help="one reading of the diameter")
    group.add_argument(
        "--u-diameter-um", type=measure, metavar="UM", help="its standard uncertainty, the strand's shape included"
    )
    group.add_argument(
        "--axes-um", type=axes, metavar="AxB,…", help="wide by narrow side at one or more places: 88x64,90x62"
    )
    group.add_argument(
        "--u-reading-um", type=measure, default=U_READING_UM, metavar="UM", help="uncertainty of each (default 1)"
    )
    group.add_argument("--fringe-mm", type=measure, metavar="MM", help="laser: from the centre to a dark fringe")
    group.add_argument(
        "--fringe-full-mm", type=measure, metavar="MM", help="laser: from dark fringe to dark fringe"
    )
    group.add_argument(
        "--fringe-order", type=whole(1, 50), default=1, metavar="N", help="which dark fringe (default 1)"
    )
    group.add_argument(
        "--wavelength-nm", type=number(300, 1200, "nm"), default=USUAL_WAVELENGTH_NM, metavar="NM",
        help="of the laser (default 650)",
    )  # fmt: skip
    group.add_argument("--screen-mm", type=measure, metavar="MM", help="from the strand to the screen")
    group.add_argument("--mass-mg", type=measure, metavar="MG", help="mass of a piece; gives tenacity as well")
    group.add_argument("--u-mass-mg", type=measure, default=U_MASS_MG, metavar="MG", help="default 0.01")
    group.add_argument("--length-mm", type=measure, metavar="MM", help="length of the piece that was weighed")
    group.add_argument("--density", type=number(0.5, 3, "g/cm3"), metavar="G/CM3", help="default 1.315, keratin")


def axes(text: str) -> tuple[tuple[float, float], ...]:
    """A converter for argparse: pairs of sides [µm], as 88x64,90x62."""
    pairs = []
    for part in text.lower().replace("×", "x").split(";" if ";" in text else ","):
        sides = part.split("x")
        if len(sides) != 2:
            raise argparse.ArgumentTypeError(f"{clean(text)!r} must be wide by narrow side, such as 88x64,90x62")
        pairs.append((measure(sides[0].strip()), measure(sides[1].strip())))
    return tuple(pairs)


def thickness_of(args: argparse.Namespace) -> Thickness | None:
    """The thickness that was given, if any was. Raises CommandError, or InputError where it can't be a strand's."""
    ways = [name for name in ("diameter_um", "axes_um", "fringe_mm", "fringe_full_mm") if _given(args, name)]
    if len(ways) > 1:
        raise CommandError(f"Say how thick the strand is in one way: give only one of {_options(ways)}.")
    tex, u_tex = _linear_density(args)
    if not ways and tex is None:
        _no_lonely_options(args)
        return None
    found = _optical(args, ways[0]) if ways else _by_mass(args, tex or 0.0, u_tex or 0.0)
    return replace(found, linear_density_tex=tex, u_linear_density_tex=u_tex)


def _no_lonely_options(args: argparse.Namespace) -> None:
    for name, needed in (("u_diameter_um", "--diameter-um"), ("screen_mm", "--fringe-mm or --fringe-full-mm")):
        if _given(args, name):
            raise CommandError(f"{_options([name])} alone says nothing of the thickness: give {needed} as well.")


def _optical(args: argparse.Namespace, way: str) -> Thickness:
    if way == "diameter_um":
        return _by_diameter(args.diameter_um, args.u_diameter_um)
    return _by_axes(args) if way == "axes_um" else _by_fringes(args, full=way == "fringe_full_mm")


def _by_diameter(diameter_um: float, u_diameter_um: float | None) -> Thickness:
    from analysis.metrology.cross_section import circle_from_one_reading, circle_of_known_diameter

    if u_diameter_um is None:
        section = circle_from_one_reading(diameter_um, U_DIAMETER_SHARE * diameter_um)
        advice = "measure the wide and the narrow side at several places: --axes-um"
    else:
        section = circle_of_known_diameter(diameter_um, u_diameter_um)
        advice = "measure at more places and on two axes: --axes-um"
    return _thickness(section, advice, diameter_um, u_diameter_um)


def _by_axes(args: argparse.Namespace) -> Thickness:
    from analysis.metrology.cross_section import ellipse_from_axes

    if not args.u_reading_um > 0:
        raise CommandError("A reading is never exact: give --u-reading-um above 0, such as 1.")
    wide, narrow = zip(*args.axes_um, strict=True)
    section = ellipse_from_axes(wide, narrow, args.u_reading_um)
    few = "measure at more places along the strand" if len(wide) < 3 else "use a finer micrometer or a microscope"
    return _thickness(section, few)


def _by_fringes(args: argparse.Namespace, *, full: bool) -> Thickness:
    from analysis.metrology.cross_section import diffraction_diameter_um, from_diffraction

    if args.screen_mm is None:
        raise CommandError("Fringes tell the thickness only with the distance to the screen: give --screen-mm.")
    fringe = args.fringe_full_mm if full else args.fringe_mm
    diameter = diffraction_diameter_um(
        args.wavelength_nm, args.screen_mm, fringe, args.fringe_order, full_separation=full
    )
    u_relative = math.hypot(
        U_FRINGE_MM / fringe, U_SCREEN_MM / args.screen_mm, U_WAVELENGTH_NM / args.wavelength_nm
    )
    section = from_diffraction(diameter, u_relative)
    return _thickness(section, "turn the strand by 90° and take both as --axes-um", diameter)


def _by_mass(args: argparse.Namespace, tex: float, u_tex: float) -> Thickness:
    from analysis.metrology.cross_section import KERATIN_G_CM3, from_linear_density

    section = from_linear_density(tex, u_tex, args.density or KERATIN_G_CM3)
    return _thickness(section, "weigh a longer strand, or several together")


def _thickness(
    section: CrossSection, advice: str, diameter_um: float | None = None, u_diameter_um: float | None = None
) -> Thickness:
    return Thickness(section.area_um2, section.u_area_um2, section.method, advice, diameter_um, u_diameter_um)


def _linear_density(args: argparse.Namespace) -> tuple[float | None, float | None]:
    """The linear density [tex] with its standard uncertainty, where a piece was weighed."""
    from analysis.metrology.cross_section import linear_density_tex

    if args.mass_mg is None and args.length_mm is None:
        return None, None
    if args.mass_mg is None or args.length_mm is None:
        raise CommandError("Weighing needs both --mass-mg and the --length-mm of the piece that was weighed.")
    tex = linear_density_tex(args.mass_mg, args.length_mm)
    if not 0 < args.u_mass_mg < args.mass_mg / 2:
        raise CommandError(
            f"With ±{args.u_mass_mg:g} mg a mass of {args.mass_mg:g} mg says too little: weigh a longer strand or "
            "several together, or give the balance's --u-mass-mg."
        )
    return tex, tex * math.hypot(args.u_mass_mg / args.mass_mg, U_LENGTH_MM / args.length_mm)


def _given(args: argparse.Namespace, name: str) -> bool:
    return getattr(args, name) is not None


def _options(names: list[str]) -> str:
    return ", ".join("--" + name.replace("_", "-") for name in names)
