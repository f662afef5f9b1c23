"""Extension per force from pulls on stiff specimens: truth recovered through slack, noise and steps."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.errors import InputError
from analysis.metrology.extension_calibration import rig_compliance
from analysis.metrology.stiff_pull import stiff_pull
from analysis.trace import Trace
from recordings.format import Specimen

#: A steel wire 0.1 mm thick (200 GPa, a handbook's round value for steel) and a rig that gives 0.012 mm/N.
MODULUS_MPA, DIAMETER_UM, GIVE = 200_000.0, 100.0, 0.012
AREA_MM2 = math.pi * 0.1**2 / 4
STEP_MM = 1 / 800


def pull(length_mm: float, *, slack_mm: float = 0.02, seed: int = 1, after: bool = True) -> Trace:
    """Up to 1.5 N and a little back, in whole steps, with 50 uN of noise."""
    rng = np.random.default_rng(seed)
    per_n = length_mm / (MODULUS_MPA * AREA_MM2) + GIVE
    x = np.arange(0, slack_mm + 1.5 * per_n, STEP_MM / 4)
    x = np.concatenate([x, x[-1:0:-8]]) if after else x
    force = np.maximum(x - slack_mm, 0) / per_n + rng.normal(0, 5e-5, len(x))
    return Trace("wire", None, force, np.floor(x / STEP_MM) * STEP_MM, Specimen(length_mm, diameter_um=DIAMETER_UM))


def test_the_rigs_give_is_recovered_from_three_lengths() -> None:
    pulls = [stiff_pull(pull(length, seed=length)) for length in (20, 40, 60)]
    found = rig_compliance(pulls)
    assert found.mm_per_n == pytest.approx(GIVE, abs=4e-4)
    assert found.modulus_mpa == pytest.approx(MODULUS_MPA, rel=0.02)


def test_an_area_given_goes_before_a_diameter() -> None:
    trace = pull(30)
    assert trace.specimen is not None
    given = replace(trace, specimen=replace(trace.specimen, area_um2=5000.0))
    assert stiff_pull(given).area_mm2 == pytest.approx(5e-3)
    assert stiff_pull(trace).area_mm2 == pytest.approx(AREA_MM2)


def test_what_gives_no_slope_is_a_sentence() -> None:
    trace = pull(30)
    assert trace.force_n is not None
    assert trace.specimen is not None
    for wrong, words in (
        (replace(trace, force_n=None), "calibrate the rig first"),
        (replace(trace, extension_mm=None), "calibrate the rig first"),
        (replace(trace, specimen=None), "how thick"),
        (replace(trace, specimen=replace(trace.specimen, diameter_um=None)), "how thick"),
        (replace(trace, force_n=trace.force_n[::40], extension_mm=trace.force_n[::40]), "pull slower"),
        (replace(trace, force_n=trace.force_n + np.arange(len(trace.force_n)) % 2), "not straight"),
        (replace(trace, force_n=trace.force_n[:0], extension_mm=trace.force_n[:0]), "pull slower"),
        (replace(trace, force_n=np.zeros(100), extension_mm=np.zeros(100)), "pull slower|not straight"),
    ):
        with pytest.raises(InputError, match=words):
            stiff_pull(wrong)
