"""Numbers in both notations, and units against published conversion factors."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from analysis.tables.numbers import decimal_sign, looks_numeric, number
from analysis.tables.units import find_unit, split_title
from analysis.tables.words import EXTENSION, FORCE, TIME, rank


def factor(text: str) -> tuple[str, float]:
    unit = find_unit(text)
    assert unit is not None
    return unit.dimension, unit.factor


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("1.5", ".", 1.5),
        ("1,5", ",", 1.5),
        ("-,5", ",", -0.5),
        (".5", ".", 0.5),
        ("5.", ".", 5.0),
        ("+3", ".", 3.0),
        (" 7 ", ",", 7.0),
        ("−2,5", ",", -2.5),
        ("1e-3", ".", 1e-3),
        ("1,5E+02", ",", 150.0),
        ("1,234.5", ".", 1234.5),
        ("1.234,5", ",", 1234.5),
        ("1,234,567", ".", 1234567.0),
        ("1'234.5", ".", 1234.5),
        ("1\u00a0234,5", ",", 1234.5),
        ("1\u202f234,5", ",", 1234.5),
        ("9" * 400, ".", None),
        ("1e400", ".", None),
        ("-1e400", ".", None),
        ("1e99999", ".", None),
        ("nan", ".", None),
        ("inf", ".", None),
        ("", ".", None),
        ("-", ".", None),
        (".", ".", None),
        ("1_000", ".", None),
        ("0x10", ".", None),
        ("٣", ".", None),
        ("1.5", ",", None),
        ("12,34", ".", None),
        ("1234,567", ".", None),
        ("0,123", ".", None),
        ("1,23,456", ".", None),
        ("25.11.2026", ".", None),
        ("12:30", ".", None),
        ("1.5 N", ".", None),
        ("1 2", ".", None),
        ("--5", ".", None),
        ("1-2", ".", None),
        ("1.2.3", ".", None),
    ],
)
def test_number(text: str, decimal: str, value: float | None) -> None:
    assert number(text, decimal) == value


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_that_is_printed_is_read(value: float) -> None:
    assert number(repr(value), ".") == value
    assert number(repr(value).replace(".", ","), ",") == value


@given(st.integers(-(10**15), 10**15))
def test_every_number_with_thousands_is_read(value: int) -> None:
    text = f"{value:,}.25"
    assert number(text, ".") == pytest.approx(value + (0.25 if value >= 0 else -0.25), abs=0.3)
    swapped = text.translate(str.maketrans(",.", ".,"))
    assert number(swapped, ",") == number(text, ".")


@given(st.text(max_size=12))
def test_a_number_looks_like_one(text: str) -> None:
    for decimal in ".,":
        assert number(text, decimal) is None or looks_numeric(text)


@pytest.mark.parametrize(
    ("cells", "comma_separates", "sign"),
    [
        (["0,5", "1,25"], False, ","),
        (["0.5", "1.25"], False, "."),
        (["1,234.5", "2"], False, "."),
        (["1.234,5", "2"], False, ","),
        (["1,234", "5,678"], False, ","),
        (["1,234", "5,678"], True, "."),
        (["1,234", "0,5"], True, ","),
        (["1.234", "5.678"], False, "."),
        (["1,234", "0.5"], False, "."),
        (["1.234", "0,5"], False, ","),
        (["2.1", "0,5", "0,6"], False, ","),
        (["3", "text, with. both"], False, "."),
        ([], False, "."),
    ],
)
def test_decimal_sign(cells: list[str], comma_separates: bool, sign: str) -> None:
    assert decimal_sign(cells, comma_separates) == sign


def test_units_against_published_factors() -> None:
    # NIST SP 811 (2008), appendix B.8: to newton, metre and second.
    published = {
        "gf": ("force", 9.80665e-03),
        "kgf": ("force", 9.80665),
        "kp": ("force", 9.80665),
        "lbf": ("force", 4.448222),
        "ozf": ("force", 2.780139e-01),
        "in": ("length", 2.54e-02 * 1e3),
        "µm": ("length", 1e-06 * 1e3),
        "min": ("time", 60.0),
        "h": ("time", 3600.0),
    }
    for name, (dimension, value) in published.items():
        assert factor(name) == (dimension, pytest.approx(value, rel=5e-7))


def test_units_against_a_reference_library() -> None:
    expected = {"lbf": constants.lbf, "kgf": constants.kgf, "in": constants.inch * 1e3, "min": constants.minute}
    for name, value in expected.items():
        assert factor(name)[1] == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("spelling", "like"),
    [
        ("n", "N"),
        ("mn", "mN"),
        ("KN", "kN"),
        ("G", "gf"),
        ("grams", "gf"),
        ("KGF", "kgf"),
        ("MM", "mm"),
        ("Inch", "in"),
        ("\u03bcm", "µm"),
        ("\u00b5m", "µm"),
        ("um", "µm"),
        ("Sek", "s"),
        ("MS", "ms"),
    ],
)
def test_spellings(spelling: str, like: str) -> None:
    assert find_unit(spelling) == find_unit(like) is not None


@pytest.mark.parametrize("name", ["MN", "MPa", "°C", "V", "", "N/s", "mm/min", "counts"])
def test_what_is_no_unit_of_ours(name: str) -> None:
    assert find_unit(name) is None


@pytest.mark.parametrize(
    ("title", "expected"),
    [
        ("Force (N)", ("Force", "N")),
        ("Force [mN]", ("Force", "mN")),
        ("Force[ N ]", ("Force", "N")),
        ("Força (N) - Plot 0", ("Força - Plot 0", "N")),
        ("Force (Plot 1) [N]", ("Force", "N")),
        ("Load (kips)", ("Load", "kips")),
        ("Force (Plot 1)", ("Force", "Plot 1")),
        ("force_N", ("force", "N")),
        ("force_mn", ("force", "mn")),
        ("extension_mm", ("extension", "mm")),
        ("Force..N.", ("Force", "N")),
        ("Kraft in N", ("Kraft", "N")),
        ("Kraft / N", ("Kraft", "N")),
        ("Kraft, N", ("Kraft", "N")),
        ("F/N", ("F", "N")),
        ("t/s", ("t", "s")),
        ("posMm", ("pos", "Mm")),
        ("loadN", ("load", "N")),
        ("Extension in", ("Extension", "in")),
        ("Strain mm/mm", ("Strain", "mm/mm")),
        ("Strain %", ("Strain", "%")),
        ("Strain (%)", ("Strain", "%")),
        ("Force 1", ("Force 1", "")),
        ("speed mm/min", ("speed mm/min", "")),
        ("Rate (N/s)", ("Rate", "N/s")),
        ("Force", ("Force", "")),
        ("time", ("time", "")),
        ("", ("", "")),
        ("(mm)", ("", "mm")),
    ],
)
def test_titles(title: str, expected: tuple[str, str]) -> None:
    assert split_title(title) == expected


@pytest.mark.parametrize(
    ("quantity", "titles"),
    [
        (FORCE, ["Force", "Load", "Kraft", "Standardkraft", "Prüfkraft", "Carga", "Força", "Fuerza", "Effort"]),
        (
            EXTENSION,
            [
                "Extension",
                "Displacement",
                "Crosshead position",
                "Weg",
                "Traversenweg",
                "Verlängerung",
                "Deslocamento",
                "Desplazamiento",
                "Déplacement",
                "Posição",
                "Posición",
                "Alongamento",
                "Allongement",
                "Strain",
                "Dehnung",
            ],
        ),
        (TIME, ["Time", "Zeit", "Prüfzeit", "Tempo", "Tiempo", "Temps", "t", "Elapsed time"]),
    ],
)
def test_words_of_five_languages(quantity: str, titles: list[str]) -> None:
    for title in titles:
        fits = {q: rank(title, None, q) for q in (FORCE, EXTENSION, TIME)}
        assert [q for q, place in fits.items() if place is not None] == [quantity], title


@pytest.mark.parametrize(
    "title",
    [
        "Max force (N)",
        "Diameter (mm)",
        "Gauge length (mm)",
        "Load cell temperature (°C) (N/s)",
        "Stress (MPa)",
        "Date",
    ],
)
def test_columns_that_are_something_else(title: str) -> None:
    name, text = split_title(title)
    for quantity in (FORCE, EXTENSION, TIME):
        place = rank(name, find_unit(text), quantity)
        assert place is None or place >= 10
