"""Gravity, air density and weights against published constants and tables."""

from __future__ import annotations

import math

import pytest

from analysis.metrology.gravity import air_density_kg_m3, gravity_as_given, normal_gravity
from analysis.metrology.weights import force_n, permissible_error_mg, u_force_n, weight_of_class

# GRS80: Moritz, J. Geodesy 74 (2000), equator and pole as published; between them Somigliana's formula.
GRS80 = {
    0: 9.7803267715,
    15: 9.7837863976,
    30: 9.7932487036,
    45: 9.8061992025,
    51.4778: 9.8120154078,
    60: 9.8191783850,
    75: 9.8286980584,
    90: 9.8321863685,
}


@pytest.mark.parametrize(("latitude", "expected"), GRS80.items())
def test_normal_gravity_is_grs80(latitude: float, expected: float) -> None:
    assert normal_gravity(latitude).value_m_s2 == pytest.approx(expected, abs=1e-9)
    assert normal_gravity(-latitude).value_m_s2 == pytest.approx(expected, abs=1e-9)


def test_height_lowers_gravity() -> None:
    # Free-air reduction at 45 degrees, derived from the GRS80 constants.
    lowered = normal_gravity(45).value_m_s2 - normal_gravity(45, 100).value_m_s2
    assert lowered == pytest.approx(3.0855e-4, abs=2e-8)
    assert normal_gravity(45, 1000).value_m_s2 == pytest.approx(9.8031129, abs=2e-6)


@pytest.mark.parametrize(("latitude", "height"), [(91, 0), (-90.1, 0), (45, 9001), (45, -501), (math.nan, 0)])
def test_places_that_are_not_on_earth_are_refused(latitude: float, height: float) -> None:
    with pytest.raises(ValueError, match="latitude|height"):
        normal_gravity(latitude, height)


def test_air_density() -> None:
    # OIML R 111-1 approximation, formula from memory; values computed from it independently.
    assert air_density_kg_m3(1013.25, 50, 20) == pytest.approx(1.1992943, abs=1e-6)
    assert air_density_kg_m3(1013.25, 0, 0) == pytest.approx(1.2926867, abs=1e-6)
    assert air_density_kg_m3(1000, 65, 20) == pytest.approx(1.1819836, abs=1e-6)


def test_force_of_a_conventional_mass() -> None:
    # Definition of conventional mass: IUPAC Gold Book 09039, OIML D 28.
    assert force_n(100, 9.80665) == pytest.approx(0.98051790, abs=1e-8)
    assert force_n(200, 9.80665) == pytest.approx(1.96103580, abs=1e-8)
    assert force_n(100, 9.8123) == pytest.approx(0.98108282, abs=1e-8)
    for density, expected in ((7700, 0.980530636), (8000, 0.980530159), (8400, 0.980529575)):
        assert force_n(100, 9.80665, 1.1, density) == pytest.approx(expected, abs=1e-9)
        # in reference air the density of the weight must not matter
        assert force_n(100, 9.80665, 1.2, density) == pytest.approx(0.98051790, abs=1e-8)


def test_permissible_errors_of_oiml_r_111() -> None:
    # OIML R 111-1:2004, Table 1.
    assert permissible_error_mg(100, "M1") == 5.0
    assert permissible_error_mg(1, "F2") == 0.3
    assert permissible_error_mg(0.005, "M1") == 0.20
    assert permissible_error_mg(150, "M1") == 5.0 + 3.0
    assert weight_of_class(100, "M1").u_mass_g == pytest.approx(2.8868e-3, rel=1e-4)


@pytest.mark.parametrize("mass_g", [0.00001, 0.0014, 12.34567])
def test_a_mass_between_the_weights_of_a_set_is_none(mass_g: float) -> None:
    with pytest.raises(ValueError, match="no weights that make up"):
        permissible_error_mg(mass_g, "M1")


def test_a_class_without_small_weights_says_so() -> None:
    with pytest.raises(ValueError, match="no weights that make up 0.5 g"):
        permissible_error_mg(0.5, "M3")
    with pytest.raises(ValueError, match="use one of E1"):
        permissible_error_mg(1, "X9")
    with pytest.raises(ValueError, match="no weights"):
        permissible_error_mg(-5, "M1")


def test_force_uncertainty_of_a_100_g_m1_weight() -> None:
    gravity = normal_gravity(51.4778)
    u = u_force_n(weight_of_class(100, "M1"), gravity)
    mass_part = 28.3e-6  # 5 mg / sqrt 3 as a force
    gravity_part = 0.98 * 3e-4 / 9.81
    assert u == pytest.approx(math.hypot(mass_part, gravity_part), rel=2e-3)


@pytest.mark.parametrize(
    ("typed", "value", "u"),
    [
        ("9.81", 9.81, 2.887e-3),
        ("9.812", 9.812, 2.887e-4),
        ("9,8119", 9.8119, 2.887e-5),
        ("9.80665", 9.80665, 2.9e-6),
    ],
)
def test_gravity_is_as_good_as_its_last_digit(typed: str, value: float, u: float) -> None:
    # Half a digit over sqrt(3), rectangular: JCGM 100 4.3.7.
    found = gravity_as_given(typed)
    assert found.value_m_s2 == value
    assert found.u_m_s2 == pytest.approx(u, rel=2e-2)


@pytest.mark.parametrize("typed", ["981", "1.62", "-9.81", "nan", "inf", "", "nine", "9.81e400"])
def test_what_is_no_gravity_on_earth(typed: str) -> None:
    with pytest.raises(ValueError, match="gravity on Earth lies between"):
        gravity_as_given(typed)
