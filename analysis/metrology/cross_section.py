"""The strand's cross-section: from a micrometer, from laser diffraction, or from mass and length."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.errors import InputError

#: Density of hair keratin [g/cm3] and its standard uncertainty: 1.31-1.32, from memory.
KERATIN_G_CM3 = 1.315
U_KERATIN_G_CM3 = 0.005
#: Ratio of the longer to the shorter axis of scalp hair: 1.2 to 1.9 over published groups.
TYPICAL_AXIS_RATIO = (1.2, 1.9)
#: Diameters [um] outside which a strand of hair is not believed: 15-110 um (Kaswell 1953) and 40-120 um
#: (Randebrook 1964), widened.
DIAMETER_RANGE_UM = (10.0, 300.0)


@dataclass(frozen=True, slots=True)
class CrossSection:
    """Area [um2] with standard uncertainty, the circle of the same area [um], and a sentence on the method."""

    area_um2: float
    u_area_um2: float
    method: str

    @property
    def equivalent_diameter_um(self) -> float:
        """Diameter of the circle with the same area [um]."""
        return math.sqrt(4 * self.area_um2 / math.pi)


def _believed(diameter_um: float) -> float:
    low, high = DIAMETER_RANGE_UM
    if not low <= diameter_um <= high:
        raise InputError(
            f"a diameter of {diameter_um:g} µm is not a strand of hair's; give one from {low:g} to {high:g} µm"
        )
    return diameter_um


def circle_from_one_reading(diameter_um: float, u_diameter_um: float) -> CrossSection:
    """Area of a circle from one reading of a strand that is really an ellipse.

    The reading may have caught either axis. With an axis ratio r somewhere in TYPICAL_AXIS_RATIO the true
    area is between 1/r and r times the circle's, so the bias enters as a rectangular uncertainty of half
    that width over sqrt(3) (JCGM 100 4.3.7). Raises InputError for a thickness no strand has.
    """
    d = _believed(diameter_um)
    area = math.pi * d * d / 4
    u = area * u_area_of_one_reading(u_diameter_um / d)
    return CrossSection(area, u, "circle from one reading; the strand's ellipse is in the uncertainty")


def u_area_of_one_reading(u_relative: float) -> float:
    """Relative standard uncertainty of that circle's area, from that of the reading (`circle_from_one_reading`)."""
    ratio = sum(TYPICAL_AXIS_RATIO) / 2
    shape = (ratio - 1 / ratio) / 2 / math.sqrt(3)
    return math.hypot(2 * u_relative, shape)


def circle_of_known_diameter(diameter_um: float, u_diameter_um: float) -> CrossSection:
    """Area of a circle from a diameter whose standard uncertainty is known to cover the strand's own shape.

    Raises InputError for a thickness no strand has, or an uncertainty that is not below half of it.
    """
    d = _believed(diameter_um)
    if not 0 < u_diameter_um < d / 2:
        raise InputError(
            f"an uncertainty of {u_diameter_um:g} µm for a diameter of {d:g} µm can't be; give more than 0 and "
            "less than half of it"
        )
    area = math.pi * d * d / 4
    return CrossSection(area, area * 2 * u_diameter_um / d, "circle of a diameter with a stated uncertainty")


def ellipse_from_axes(major_um: Sequence[float], minor_um: Sequence[float], u_reading_um: float) -> CrossSection:
    """Area of an ellipse from readings on two axes at several places along the strand.

    A = pi a b / 4 at each place, then the mean; the scatter from place to place (type A) and the common
    error of the micrometer (on both axes alike) are combined. Raises InputError where the two axes don't have
    the same number of places, or none.
    """
    if not major_um or len(major_um) != len(minor_um):
        raise InputError("give as many readings of the wide as of the narrow side, at least one of each")
    areas = [math.pi * _believed(a) * _believed(b) / 4 for a, b in zip(major_um, minor_um, strict=True)]
    n, mean = len(areas), sum(areas) / len(areas)
    scatter = math.sqrt(sum((a - mean) ** 2 for a in areas) / (n - 1) / n) if n > 1 else 0.0
    common = sum(math.pi / 4 * (a + b) for a, b in zip(major_um, minor_um, strict=True)) / n * u_reading_um
    places = "one place" if n == 1 else f"{n} places"
    return CrossSection(mean, math.hypot(scatter, common), f"ellipse from two axes at {places}")


def diffraction_diameter_um(
    wavelength_nm: float, distance_mm: float, fringe_mm: float, order: int = 1, *, full_separation: bool = False
) -> float:
    """Thickness from the dark fringes that a strand makes in a laser beam.

    By Babinet's principle a strand darkens where a slit of its width does: d sin(theta) = m lambda. `fringe_mm`
    is from the centre to the m-th dark fringe, or between the two m-th fringes if `full_separation`. The
    exact angle is used; the small-angle form m lambda L / y is within (y/L)**2 / 2 of it.
    Raises InputError where a length is not positive.
    """
    if min(wavelength_nm, distance_mm, fringe_mm) <= 0 or order < 1:
        raise InputError(
            "wavelength, distance and fringe spacing must all be greater than zero, the order 1 or more"
        )
    y_mm = fringe_mm / 2 if full_separation else fringe_mm
    return order * wavelength_nm / 1000 / math.sin(math.atan2(y_mm, distance_mm))


def from_diffraction(diameter_um: float, u_relative: float) -> CrossSection:
    """Area from one diffraction reading: a circle from one side, with the ellipse in its uncertainty."""
    section = circle_from_one_reading(diameter_um, u_relative * diameter_um)
    return CrossSection(section.area_um2, section.u_area_um2, "laser diffraction from one side, taken as a circle")


def linear_density_tex(mass_mg: float, length_mm: float) -> float:
    """Linear density [tex]: grams a kilometre, that is mg a metre."""
    if mass_mg <= 0 or length_mm <= 0:
        raise InputError("mass and length of the strand must both be greater than zero")
    return mass_mg / (length_mm / 1000)


def from_linear_density(
    tex: float, u_tex: float, density_g_cm3: float = KERATIN_G_CM3, u_density_g_cm3: float = U_KERATIN_G_CM3
) -> CrossSection:
    """Area [um2] from linear density and density: A = 1000 T / rho (T in tex, rho in g/cm3)."""
    area = 1000 * tex / density_g_cm3
    _believed(math.sqrt(4 * area / math.pi))
    u = area * math.hypot(u_tex / tex, u_density_g_cm3 / density_g_cm3)
    return CrossSection(area, u, f"mass and length, density {density_g_cm3:g} g/cm3")


def tenacity_cn_tex(force_n: float, tex: float) -> float:
    """Force over linear density [cN/tex]."""
    return 100 * force_n / tex
