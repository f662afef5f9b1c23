"""Real tables made elsewhere: pulls of natural-fibre strips as their authors published them.

Santos, Holanda, da Silva, Azeredo, Rodrigues Junior, de Araujo Filho, Sussuchi, Pedrotti, da Silva Filho (2025),
Zenodo, doi:10.5281/zenodo.18748157, CC BY 4.0. The largest forces are the authors' published figures.
"""

from __future__ import annotations

import numpy as np
import pytest

from analysis.tables.read import preview_table, read_table
from tests.opendata import open_data

STRIPS = [
    ("strip_a.xlsx", 1393, 740.894, 4.195, True),
    ("strip_b.txt", 2110, 415.456, 14.344, False),
    ("strip_c.txt", 1470, 603.273, 4.125, False),
    ("strip_d.xlsx", 1141, 418.234, 8.403, True),
]


@pytest.mark.parametrize(("name", "rows", "largest_n", "position_mm", "summary"), STRIPS)
def test_strip(name: str, rows: int, largest_n: float, position_mm: float, summary: bool) -> None:
    trace = read_table(open_data("natural_fibre_strips") / name, gauge_length_mm=200)
    assert trace.force_n is not None
    assert trace.extension_mm is not None
    peak = int(np.argmax(trace.force_n))
    assert (len(trace.force_n), trace.force_n[peak], trace.extension_mm[peak]) == (rows, largest_n, position_mm)
    assert trace.time_s is None
    assert [code for code, _ in trace.notes] == (["summary_row"] if summary else [])


@pytest.mark.parametrize("name", [strip[0] for strip in STRIPS])
def test_preview_of_a_strip(name: str) -> None:
    preview = preview_table(open_data("natural_fibre_strips") / name)
    assert preview.columns == ("Posição (mm) - Plot 0", "Força (N) - Plot 0")
    assert preview.units == ("mm", "N")
    assert (preview.guesses.time, preview.guesses.force, preview.guesses.extension) == (None, 2, 1)
    assert preview.problem == ""
