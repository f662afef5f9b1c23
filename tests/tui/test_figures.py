"""Figures: every kind is written in every format, names what it shows, and refuses what it can't draw."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.results import Curve, Measured, NotMeasured, PullResult, Region, Verdict
from analysis.series.band import band
from analysis.series.observation import observe
from analysis.series.summary import summarise
from tui.figures.groups import draw_elongations, draw_overlay
from tui.figures.pull import draw_pull


def result(name: str, break_pct: float, yield_mpa: float) -> PullResult:
    strain = np.linspace(0, break_pct, 300)
    stress = np.interp(strain, [0, 2.2, 28, 60], [0, yield_mpa, 1.2 * yield_mpa, 1.2 * yield_mpa + 224])
    none = NotMeasured("not in this example")
    return PullResult(
        recording=name,
        complete=True,
        simulated=True,
        outcome="broke",
        elongation_reached_pct=break_pct,
        elongation_at_break_pct=Measured(break_pct, 0.6),
        force_max_n=none,
        force_at_break_n=none,
        stress_at_break_mpa=none,
        initial_modulus_gpa=none,
        yield_strain_pct=none,
        yield_stress_mpa=none,
        post_yield_strain_pct=none,
        work_to_20pct_mj_m3=none,
        work_to_break_mj_m3=none,
        work_to_break_uj=none,
        verdict=Verdict("meets", 20, 0.999, "It stretched above the guideline."),
        flags=(),
        curve=Curve(strain, stress * 4e-3, stress, np.arange(300)),
        regions=(Region("elastic", 0, 2.2), Region("yield", 2.2, 28), Region("post_yield", 28, break_pct)),
    )


GROUPS = {
    "virgin": [result(f"v{b}", b, 85) for b in (43, 41, 46, 39, 44)],
    "lightened": [result(f"l{b}", b, 50) for b in (36, 33, 48, 19, 44)],
}


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_a_pull_is_drawn_in_every_format(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"pull.{ending}"
    draw_pull(result("strand 7", 43.2, 85), path)
    assert path.read_bytes()[:4] in {b"\x89PNG", b"<?xm", b"%PDF"}


def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@pytest.fixture(autouse=True)
def _text_stays_text() -> None:
    import matplotlib as mpl

    mpl.rcParams["svg.fonttype"] = "none"


def test_the_figure_names_break_uncertainty_guideline_and_that_it_is_simulated(tmp_path: Path) -> None:
    path = tmp_path / "pull.svg"
    draw_pull(result("strand 7", 43.2, 85), path)
    for words in (
        "break 43.2 % ± 1.2 %",
        "guideline 20 %",
        "stress [MPa]",
        "post-yield",
        "simulated rig",
        "strand 7",
    ):
        assert words in text_of(path)


def test_the_overlay_names_each_group_at_its_curve(tmp_path: Path) -> None:
    path = tmp_path / "overlay.svg"
    draw_overlay(GROUPS, path, 20)
    assert "virgin (5 strands)" in text_of(path)
    assert "lightened (5 strands)" in text_of(path)


def test_a_strand_without_thickness_puts_all_in_newtons(tmp_path: Path) -> None:
    thin = result("x", 40, 80)
    assert thin.curve is not None
    path = tmp_path / "overlay.svg"
    draw_overlay({**GROUPS, "unknown": [replace(thin, curve=replace(thin.curve, stress_mpa=None))]}, path, 20)
    assert "force [N]" in text_of(path)


def test_strand_by_strand(tmp_path: Path) -> None:
    path = tmp_path / "elongations.svg"
    whole = replace(result("w", 50, 80), outcome="no_break", elongation_at_break_pct=NotMeasured("did not break"))
    groups = {**GROUPS, "wet": [whole]}
    draw_elongations(groups, [summarise(n, observe(r)[0]) for n, r in groups.items()], path, 20)
    assert "did not break, at least so far" in text_of(path)


def test_band_is_the_median_of_those_still_whole() -> None:
    made = band([r.curve for r in GROUPS["virgin"] if r.curve], in_stress=True)
    assert made.strain_pct[-1] == pytest.approx(43.0)
    assert list(np.unique(made.whole)) == [3, 4, 5]
    assert made.median[np.searchsorted(made.strain_pct, 10)] == pytest.approx(
        np.interp(10, [2.2, 28], [85, 102]), rel=1e-3
    )


def test_what_cannot_be_drawn_says_so(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="ends in none of them"):
        draw_pull(result("x", 40, 80), tmp_path / "pull.bmp")
    with pytest.raises(ValueError, match="has no curve"):
        draw_pull(replace(result("x", 40, 80), curve=None), tmp_path / "pull.png")
    with pytest.raises(ValueError, match="none of these"):
        band([], in_stress=True)
