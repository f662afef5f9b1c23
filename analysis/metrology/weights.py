"""Calibration weights: the force of a conventional mass in air, and how far a class of weights can be off."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.errors import InputError
from analysis.metrology.gravity import Gravity

#: Air and weight density that define conventional mass [kg/m3]. OIML D 28; IUPAC Gold Book 09039.
REFERENCE_AIR_KG_M3 = 1.2
REFERENCE_DENSITY_KG_M3 = 8000.0

#: Maximum permissible error [mg] by class and nominal mass [g]. OIML R 111-1:2004, Table 1.
NOMINALS_G = (
    0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5,
    1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0,
)  # fmt: skip
_MPE_MG = {
    "E1": (0.003, 0.003, 0.003, 0.003, 0.003, 0.004, 0.005, 0.006, 0.008, 0.010, 0.012, 0.016, 0.020, 0.025,
           0.03, 0.05, 0.10, 0.25, 0.5),
    "E2": (0.006, 0.006, 0.006, 0.008, 0.010, 0.012, 0.016, 0.020, 0.025, 0.03, 0.04, 0.05, 0.06, 0.08,
           0.10, 0.16, 0.3, 0.8, 1.6),
    "F1": (0.020, 0.020, 0.020, 0.025, 0.03, 0.04, 0.05, 0.06, 0.08, 0.10, 0.12, 0.16, 0.20, 0.25,
           0.3, 0.5, 1.0, 2.5, 5.0),
    "F2": (0.06, 0.06, 0.06, 0.08, 0.10, 0.12, 0.16, 0.20, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.6, 3.0, 8.0, 16.0),
    "M1": (0.20, 0.20, 0.20, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.6, 2.0, 2.5, 3.0, 5.0, 10.0, 25.0, 50.0),
    "M2": (None, None, None, None, None, None, 1.6, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 16.0,
           30.0, 80.0, 160.0),
    "M3": (None, None, None, None, None, None, None, None, None, 10.0, 12.0, 16.0, 20.0, 25.0,
           30.0, 50.0, 100.0, 250.0, 500.0),
}  # fmt: skip
CLASSES = tuple(_MPE_MG)
#: How far from a whole milligram a mass may be [mg]: rounding of a float; the smallest weight is 1 mg.
WHOLE_MG = 1e-6


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight as used: conventional mass [g] and its standard uncertainty [g]."""

    mass_g: float
    u_mass_g: float


def permissible_error_mg(mass_g: float, weight_class: str) -> float:
    """Maximum permissible error of one weight, or of the fewest weights that make up the mass.

    Errors of weights of one set are added, not averaged: they may be correlated.
    Raises InputError for an unknown class, or a mass that its weights can't make up.
    """
    if weight_class not in _MPE_MG:
        raise InputError(f"weight class {weight_class!r} is unknown; use one of {', '.join(CLASSES)}")
    total, left_mg = 0.0, round(mass_g * 1000)
    for nominal, error in reversed(list(zip(NOMINALS_G, _MPE_MG[weight_class], strict=True))):
        nominal_mg = round(nominal * 1000)
        while error is not None and nominal_mg <= left_mg:
            total, left_mg = total + error, left_mg - nominal_mg
    if left_mg or mass_g <= 0 or abs(mass_g * 1000 - round(mass_g * 1000)) > WHOLE_MG:
        raise InputError(f"class {weight_class} has no weights that make up {mass_g:g} g")
    return total


def weight_of_class(mass_g: float, weight_class: str) -> Weight:
    """A weight used at its nominal mass, uncorrected: u = MPE / sqrt(3) (rectangular, JCGM 100 4.3.7)."""
    return Weight(mass_g, permissible_error_mg(mass_g, weight_class) / 1000 / math.sqrt(3))


def force_n(
    conventional_mass_g: float,
    gravity_m_s2: float,
    air_kg_m3: float = REFERENCE_AIR_KG_M3,
    density_kg_m3: float = REFERENCE_DENSITY_KG_M3,
) -> float:
    """Force [N] with which a weight of a conventional mass pulls in air.

    True mass m = mc (1 - 1.2/8000) / (1 - 1.2/rho), force F = m g (1 - air/rho): in air of 1.2 kg/m3 the
    weight's density drops out and F = 0.99985 mc g. OIML D 28.
    """
    true_kg = (
        conventional_mass_g
        / 1000
        * (1 - REFERENCE_AIR_KG_M3 / REFERENCE_DENSITY_KG_M3)
        / (1 - REFERENCE_AIR_KG_M3 / density_kg_m3)
    )
    return true_kg * gravity_m_s2 * (1 - air_kg_m3 / density_kg_m3)


def u_force_n(weight: Weight, gravity: Gravity) -> float:
    """Standard uncertainty [N] of a weight's force: mass and gravity; buoyancy varies by less than 2e-5."""
    relative_mass = weight.u_mass_g / weight.mass_g if weight.mass_g else 0.0
    force = force_n(weight.mass_g, gravity.value_m_s2)
    return abs(force) * math.hypot(relative_mass, gravity.u_m_s2 / gravity.value_m_s2)
