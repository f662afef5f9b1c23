"""Whatever comes in, the analysis answers: no exception, no warning, finite numbers or reasons.

Pulls spoilt in several ways at once, and arrays that are no pulls at all.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.analyse import conclude
from analysis.budget import budget_of
from analysis.details import details_of
from analysis.guideline import Guideline
from analysis.results import QUANTITIES, Measured, NotMeasured, Quantity
from analysis.study import Study, study_pull
from analysis.synthetic import Truth, make_trace
from analysis.trace import Trace
from recordings.format import Specimen
from tests.analysis.curves import Array
from tests.analysis.spoil import cut_off_at, force, frozen, marked, only, with_glitch, without

SEEDS = 120
OUTCOMES = {"broke", "slipped", "clamp_break", "no_break", "stopped", "bad_test"}


def no_pull(rng: np.random.Generator) -> Trace:
    """Arrays of any kind: noise, walks, steps, constants, with or without time and position."""
    n = int(rng.integers(0, 120))
    values: Array = rng.normal(0.0, 1.0, n)
    values = values.cumsum() if rng.random() < 0.5 else values
    values = np.round(values, 1) if rng.random() < 0.3 else values
    places = (None, np.sort(rng.uniform(0.0, 10.0, n)), rng.uniform(0.0, 1.0, n), np.zeros(n))
    times = (None, np.arange(n) / 80.0, rng.uniform(0.0, 1.0, n), np.zeros(n))
    specimens = (None, Specimen(30.0, diameter_um=70.0), Specimen(30.0))
    return Trace(
        name="no pull",
        time_s=times[rng.integers(4)],
        force_n=values * rng.choice([1e-9, 1e-3, 1.0, 1e6]),
        extension_mm=places[rng.integers(4)],
        specimen=specimens[rng.integers(3)],
        counts=None if rng.random() < 0.5 else np.round(1000.0 * values).astype(np.int64),
        full_scale_counts=(None, 2**23 - 1, 10)[rng.integers(3)],
    )


def spoilt_pull(rng: np.random.Generator, seed: int) -> Trace:
    """A pull with up to two things wrong and any ending."""
    strand = Truth(
        noise_n=float(rng.choice([0.0, 0.0005, 0.003, 0.02])),
        rate_hz=float(rng.choice([2.0, 10.0, 80.0])),
        slack_mm=float(rng.choice([0.0, 0.3, 2.0])),
        lag_s=float(rng.choice([0.0, 0.03, 0.2])),
        residue=float(rng.choice([0.0, 0.3, 0.6])),
        breaks=bool(rng.random() < 0.8),
        zero_error_n=float(rng.choice([0.0, -0.1, 0.1])),
        after_s=float(rng.choice([0.0, 0.1, 1.0])),
    )
    trace = make_trace(strand, seed, as_table=bool(rng.random() < 0.4))
    for _ in range(int(rng.integers(0, 3))):
        n = len(force(trace))
        if n >= 5:
            trace = spoil(trace, int(rng.integers(6)), *sorted(int(k) for k in rng.integers(0, n, 2)))
    trace = replace(trace, end_reason=str(rng.choice(["", "break", "key", "travel_limit"])))
    return marked(trace, "clamp_break") if rng.random() < 0.1 else trace


def spoil(trace: Trace, way: int, start: int, stop: int) -> Trace:
    ways = (
        lambda: with_glitch(trace, start),
        lambda: without(trace, start, stop),
        lambda: only(trace, slice(0, stop + 1)),
        lambda: frozen(trace, start, stop + 1),
        lambda: cut_off_at(trace, 0.02 + 0.7 * start / len(force(trace))),
        lambda: only(trace, slice(start, None)),
    )
    return ways[way]()


def assert_honest(quantity: Quantity) -> None:
    if isinstance(quantity, NotMeasured):
        assert len(quantity.reason) > 10
        return
    assert np.isfinite(quantity.value)
    assert np.isfinite(quantity.u)
    assert quantity.u >= 0.0


@pytest.mark.parametrize("seed", range(SEEDS))
def test_an_answer_to_anything(seed: int) -> None:
    rng = np.random.default_rng(seed)
    trace = no_pull(rng) if seed % 3 == 0 else spoilt_pull(rng, seed)
    study = study_pull(trace)
    found = conclude(study, Guideline())
    assert found.outcome in OUTCOMES
    assert set(QUANTITIES) <= set(found.to_json())
    for name in QUANTITIES:
        assert_honest(getattr(found, name))
    if found.outcome != "broke":
        assert isinstance(found.elongation_at_break_pct, NotMeasured)
        assert found.verdict.verdict_class in ("meets", "no_verdict")
    if isinstance(study, Study):
        for detail in details_of(study):
            assert_honest(detail.quantity)
        has_one = isinstance(found.elongation_at_break_pct, Measured)
        assert (budget_of(study, "elongation_at_break_pct") is not None) == has_one
