"""The cross-section and the linear density in the results: what was given is used, with its uncertainty."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.analyse import analyse
from analysis.guideline import Guideline
from analysis.results import Measured, NotMeasured, PullResult
from analysis.study import Study, study_pull
from recordings.format import Specimen
from tests.analysis.curves import GAUGE_MM, table, trilinear

STRAIN = np.linspace(0, 0.45, 451)


def found(specimen: Specimen) -> PullResult:
    return analyse(replace(table(STRAIN, trilinear(STRAIN)), specimen=specimen), Guideline())


def measured(quantity: object) -> Measured:
    assert isinstance(quantity, Measured), quantity
    return quantity


def share(specimen: Specimen) -> float:
    """Relative share of the cross-section in the uncertainty of the stress."""
    study = study_pull(replace(table(STRAIN, trilinear(STRAIN)), specimen=specimen))
    assert isinstance(study, Study)
    part = study.measured.parts["stress_at_break_mpa"]["cross-section"]
    return abs(part) / study.measured.values["stress_at_break_mpa"].value


def test_a_given_area_and_its_uncertainty_are_used() -> None:
    specimen = Specimen(GAUGE_MM, diameter_um=70.0, area_um2=5000.0, u_area_um2=100.0)
    result = found(specimen)
    stress = measured(result.stress_at_break_mpa)
    assert stress.value == pytest.approx(measured(result.force_at_break_n).value / 5000.0 * 1e6)
    assert share(specimen) == pytest.approx(0.02, rel=1e-3)


def test_one_reading_of_a_diameter_carries_the_ellipse() -> None:
    # An axis ratio of 1.55, the middle of 1.2 to 1.9 over published groups: half of (1.55 - 1/1.55), rectangular.
    shape = (1.55 - 1 / 1.55) / 2 / math.sqrt(3)
    # 1/A is not straight over 27 %: the central difference is 8 % above the first-order share.
    u = math.hypot(0.06, shape)
    assert share(Specimen(GAUGE_MM, diameter_um=70.0)) == pytest.approx(u / (1 - u**2), rel=1e-6)


def test_a_diameter_with_its_uncertainty_is_taken_at_its_word() -> None:
    assert share(Specimen(GAUGE_MM, diameter_um=70.0, u_diameter_um=0.7)) == pytest.approx(0.02, rel=1e-3)


def test_tenacity_with_its_uncertainty() -> None:
    # 1 N over 1 tex is 100 cN/tex; 3 % of the linear density is 3 % of the tenacity.
    result = found(Specimen(GAUGE_MM, linear_density_tex=5.0, u_linear_density_tex=0.15))
    force = measured(result.force_at_break_n)
    tenacity = measured(result.tenacity_cn_per_tex)
    assert tenacity.value == pytest.approx(100 * force.value / 5.0)
    assert tenacity.u / tenacity.value == pytest.approx(math.hypot(force.u / force.value, 0.03), rel=2e-3)
    assert result.to_json()["tenacity_cn_per_tex"] == {"value": tenacity.value, "u": tenacity.u}
    assert "tenacity_cn_per_tex" in result.quantities
    assert isinstance(result.stress_at_break_mpa, NotMeasured)


def test_nobody_weighed_the_strand() -> None:
    result = found(Specimen(GAUGE_MM, diameter_um=70.0))
    assert result.tenacity_cn_per_tex is None
    assert "tenacity_cn_per_tex" not in result.to_json()
