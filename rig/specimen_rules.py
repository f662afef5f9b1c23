"""What a strand's numbers may be: checked before anything moves. Pure. Rejects, never clamps."""

from __future__ import annotations

from recordings.format import Specimen
from rig.errors import BadPlan

#: Clamp distances that a strand of hair and a bench rig can have [mm].
GAUGE_LENGTH_MM = (5.0, 200.0)
#: Diameters that a strand of hair or a comparable fibre can have [um].
DIAMETER_UM = (10.0, 300.0)
#: Cross-sections that belong to those diameters [um2].
AREA_UM2 = (78.0, 71_000.0)
#: Linear densities that belong to those diameters at the density of keratin [tex].
LINEAR_DENSITY_TEX = (0.1, 100.0)
#: A standard uncertainty above this share of the value says that the value isn't known.
LARGEST_U_SHARE = 0.5


def check_specimen(specimen: Specimen) -> None:
    """Raises BadPlan, naming the first number that can't be."""
    s = specimen
    _within("gauge length", s.gauge_length_mm, GAUGE_LENGTH_MM, "mm", "measure the distance between the clamps")
    _within("diameter", s.diameter_um, DIAMETER_UM, "µm", "measure it again, or leave it out")
    _within("cross-section", s.area_um2, AREA_UM2, "µm²", "measure it again, or leave it out")
    _within("linear density", s.linear_density_tex, LINEAR_DENSITY_TEX, "tex", "weigh it again, or leave it out")
    _uncertainty("gauge length", s.u_gauge_length_mm, s.gauge_length_mm, "mm")
    _uncertainty("diameter", s.u_diameter_um, s.diameter_um, "µm")
    _uncertainty("cross-section", s.u_area_um2, s.area_um2, "µm²")
    _uncertainty("linear density", s.u_linear_density_tex, s.linear_density_tex, "tex")


def _within(what: str, value: float | None, limits: tuple[float, float], unit: str, advice: str) -> None:
    low, high = limits
    if value is not None and not low <= value <= high:
        raise BadPlan(f"A {what} of {value:g} {unit} is not possible here ({low:g} to {high:g} {unit}): {advice}.")


def _uncertainty(what: str, u: float | None, value: float | None, unit: str) -> None:
    if u is None:
        return
    if value is None:
        raise BadPlan(f"An uncertainty of the {what} was given without the {what}: give both or neither.")
    if not 0.0 <= u <= LARGEST_U_SHARE * value:
        raise BadPlan(
            f"A standard uncertainty of {u:g} {unit} for a {what} of {value:g} {unit} is not possible: give 0 to "
            f"{LARGEST_U_SHARE * value:g} {unit}."
        )
