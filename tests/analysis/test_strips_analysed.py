"""Real pulls made elsewhere, analysed: where strips of many yarns broke, and at what force.

Santos, Holanda, da Silva, Azeredo, Rodrigues Junior, de Araujo Filho, Sussuchi, Pedrotti, da Silva Filho (2025),
Zenodo, doi:10.5281/zenodo.18748157, CC BY 4.0. The largest forces are the authors' published figures; the gauge
length of 200 mm is inferred. The break is the highest place before the first abrupt loss of half the largest force,
within 0.3 mm of it, found with a few lines of plain numpy.
"""

from __future__ import annotations

import pytest

from analysis.analyse import analyse
from analysis.guideline import Guideline
from analysis.results import NotMeasured
from analysis.tables.read import read_table
from tests.analysis.curves import value
from tests.opendata import open_data

GAUGE_MM = 200.0
#: Largest force [N], where the strip broke [mm].
STRIPS = {
    "strip_a.xlsx": (740.894, 4.195),
    "strip_b.txt": (415.456, 14.344),
    "strip_c.txt": (603.273, 4.125),
    "strip_d.xlsx": (418.234, 8.870),
}


@pytest.mark.parametrize("name", STRIPS)
def test_strip(name: str) -> None:
    largest_n, break_mm = STRIPS[name]
    found = analyse(read_table(open_data("natural_fibre_strips") / name, gauge_length_mm=GAUGE_MM), Guideline())
    assert found.outcome == "broke"
    assert value(found.force_max_n) == pytest.approx(largest_n, rel=0.005)
    assert value(found.elongation_at_break_pct) == pytest.approx(100.0 * break_mm / GAUGE_MM, abs=0.05)
    codes = {flag.code for flag in found.flags}
    assert "partial_break" in codes
    assert ("summary_row" in codes) == name.endswith("xlsx")
    assert isinstance(found.stress_at_break_mpa, NotMeasured)


def test_the_early_fall_of_strip_b_is_told_and_not_taken_for_the_break() -> None:
    found = analyse(
        read_table(open_data("natural_fibre_strips") / "strip_b.txt", gauge_length_mm=GAUGE_MM), Guideline()
    )
    assert "load_drop" in {flag.code for flag in found.flags}
    assert value(found.elongation_at_break_pct) > 7.0


def test_a_curve_that_bends_upwards_all_the_way_has_no_slack() -> None:
    for name in ("strip_a.xlsx", "strip_c.txt", "strip_d.xlsx"):
        found = analyse(read_table(open_data("natural_fibre_strips") / name, gauge_length_mm=GAUGE_MM), Guideline())
        codes = {flag.code for flag in found.flags}
        assert "bent_start" in codes
        assert "slack" not in codes
