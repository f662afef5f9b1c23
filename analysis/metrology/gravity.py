"""Local gravity and air density: what a calibration weight's force depends on besides its mass."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from analysis.errors import InputError

#: GRS80 ellipsoid: gravity at the equator [m/s2], Somigliana's constant, squared eccentricity, semi-major
#: axis [m], flattening, and the ratio m of centrifugal force to gravity. Moritz, J. Geodesy 74 (2000).
EQUATOR_M_S2 = 9.7803267715
SOMIGLIANA_K = 0.001931851353
ECCENTRICITY2 = 0.00669438002290
SEMI_MAJOR_M = 6378137.0
FLATTENING = 1 / 298.257222101
CENTRIFUGAL_RATIO = 0.00344978600308
#: How far real gravity lies from the formula in most inhabited places [m/s2]: common practice, no source.
U_GRAVITY_FORMULA_M_S2 = 3e-4
#: Gravity on the Earth's surface lies within these [m/s2]: 9.7803 at the equator to 9.8322 at the poles, less
#: 0.03 on the highest mountains (Moritz, J. Geodesy 74 (2000)), rounded outwards.
GRAVITY_RANGE_M_S2 = (9.74, 9.85)
#: Heights the formula is meant for [m].
HEIGHT_RANGE_M = (-500.0, 9000.0)


@dataclass(frozen=True, slots=True)
class Gravity:
    """Gravity at the rig [m/s2], its standard uncertainty and where it comes from."""

    value_m_s2: float
    u_m_s2: float
    source: str


def normal_gravity(latitude_deg: float, height_m: float = 0.0) -> Gravity:
    """Gravity of the GRS80 ellipsoid at a latitude, lowered for height.

    Somigliana: g = ge (1 + k sin2 phi) / sqrt(1 - e2 sin2 phi); height by the second-order free-air formula
    (Moritz, J. Geodesy 74 (2000)). Raises InputError for a latitude or height that is not on Earth.
    """
    if not -90.0 <= latitude_deg <= 90.0:
        raise InputError(f"a latitude lies between -90 and 90 degrees, not at {latitude_deg:g}")
    if not HEIGHT_RANGE_M[0] <= height_m <= HEIGHT_RANGE_M[1]:
        raise InputError(f"give the height above sea level in metres, between -500 and 9000, not {height_m:g}")
    sin2 = math.sin(math.radians(latitude_deg)) ** 2
    at_sea = EQUATOR_M_S2 * (1 + SOMIGLIANA_K * sin2) / math.sqrt(1 - ECCENTRICITY2 * sin2)
    first = 1 + FLATTENING + CENTRIFUGAL_RATIO - 2 * FLATTENING * sin2
    ratio = height_m / SEMI_MAJOR_M
    value = at_sea * (1 - 2 * first * ratio + 3 * ratio**2)
    return Gravity(value, U_GRAVITY_FORMULA_M_S2, f"GRS80 at latitude {latitude_deg:g}°, height {height_m:g} m")


def gravity_as_given(text: str) -> Gravity:
    """Gravity that a person gives, as typed: taken as rounded to its last digit.

    u is half of that digit over sqrt(3) (rectangular, JCGM 100 4.3.7): 9.81 is good to 0.003, 9.8119 to 0.00003.
    Raises InputError for what is no gravity on Earth.
    """
    try:
        value = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        value = Decimal("nan")
    low, high = GRAVITY_RANGE_M_S2
    if not (value.is_finite() and low <= float(value) <= high):
        raise InputError(f"gravity on Earth lies between {low:g} and {high:g} m/s2, such as 9.812, not at {text!r}")
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    return Gravity(float(value), 0.5 * 10.0**exponent / math.sqrt(3), "given")


def air_density_kg_m3(pressure_hpa: float, humidity_pct: float, temperature_c: float) -> float:
    """Density of moist air by the approximation of OIML R 111-1 (formula from memory), good to 2e-4 near 20 °C."""
    vapour = 0.009 * humidity_pct * math.exp(0.061 * temperature_c)
    return (0.34848 * pressure_hpa - vapour) / (273.15 + temperature_c)
