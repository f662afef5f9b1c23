"""From the simulated strand through rig, recording and analysis: set, recovery, half-time and ratio are its truth.

The strand of the model is held against what its recording shows, over several strands and amplifiers. It lives here
and not in tests/analysis because it runs the rig.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from scipy.integrate import quad

from analysis.from_recording import trace_from_recording
from analysis.guideline import load_guideline
from analysis.kinds.before_after import compare_before_after
from analysis.kinds.door import analyse_kind
from analysis.kinds.result import KindResult
from analysis.results import Measured, PullResult
from analysis.trace import Trace
from recordings.format import Method, Specimen
from recordings.reader import read_recording
from rig.plan import PullPlan
from rig.run import run_pull
from rig.simulated.mishaps import befall
from rig.simulated.specimen import PullTruth
from rig.simulated.strand import StrandTruth
from tests.links import simulated

GUIDELINE = load_guideline(None)
#: Board time over the host's: nothing here depends on it, and a hold of a minute is over in three seconds.
FASTER = 20.0


def recorded(
    tmp_path: Path, kind: str, strand: str, seed: int, *, noisy: bool = False, treatment: str = "", **method: Any
) -> tuple[Trace, PullTruth]:
    settings: dict[str, Any] = {"treatment": treatment} if treatment else {}
    stretcher, link = simulated(strand, seed=seed, time_scale=FASTER, **settings)
    if noisy:
        befall(link.board.machine, "noise", True)
    wanted = PullPlan(
        Specimen(30.0, 0.05, reference="invented"),
        Method(kind=kind, **method),
        directory=tmp_path,
        calibration_folder=tmp_path / "none",
    )
    with stretcher:
        outcome = run_pull(stretcher, wanted)
    assert outcome.end_reason == "done", outcome.message
    return trace_from_recording(read_recording(outcome.path)), link.board.truths[-1]


def shown(trace: Trace) -> tuple[PullResult, KindResult]:
    result = analyse_kind(trace, GUIDELINE)
    assert isinstance(result.part, KindResult)
    return result, result.part


def near(part: KindResult, name: str, truth: float, sigmas: float = 3.0) -> None:
    found = part.quantities[name]
    assert isinstance(found, Measured), (name, found)
    assert abs(found.value - truth) < sigmas * found.u, (name, found, truth)


@pytest.mark.parametrize(("seed", "noisy"), [(1, False), (2, False), (3, True)])
@pytest.mark.parametrize("strand", ["virgin", "lightened", "wet", "relaxed"])
def test_stretch_and_return(tmp_path: Path, strand: str, seed: int, noisy: bool) -> None:
    trace, truth = recorded(tmp_path, "stretch_return", strand, seed, noisy=noisy, rest_s=60.0)
    _, part = shown(trace)
    assert truth.set_on_return is not None
    assert truth.set_after_rest is not None
    reached = 100.0 * truth.furthest_strain
    at_once, rested = 100.0 * truth.set_on_return, 100.0 * truth.set_after_rest
    near(part, "strain_reached_pct", reached)
    near(part, "set_at_once_pct", at_once)
    near(part, "set_after_rest_pct", rested)
    near(part, "recovery_at_once_pct", 100.0 * (1.0 - at_once / reached))
    near(part, "recovery_after_rest_pct", 100.0 * (1.0 - rested / reached))
    near(part, "recovery_delayed_pct", 100.0 * (at_once - rested) / reached)


@pytest.mark.parametrize(("seed", "noisy"), [(1, False), (2, False), (3, True)])
@pytest.mark.parametrize("strand", ["virgin", "wet"])
def test_hold(tmp_path: Path, strand: str, seed: int, noisy: bool) -> None:
    """The model relaxes exponentially, with a time constant of its own: half is gone after tau ln 2."""
    trace, truth = recorded(tmp_path, "hold", strand, seed, noisy=noisy, target_strain_pct=15.0)
    _, part = shown(trace)
    strand_truth = truth.parts[0]
    near(part, "half_time_s", strand_truth.relaxation_s * math.log(2.0))
    left = part.quantities["force_left_n"]
    assert isinstance(left, Measured)
    end_n = strand_truth.force_n(truth.furthest_strain) * (1.0 - strand_truth.relaxed_share)
    assert left.value == pytest.approx(end_n, rel=0.01)
    assert part.facts["law"] == "exponential"


@pytest.mark.parametrize("strand", ["virgin", "lightened", "wet", "heat-damaged"])
def test_proof(tmp_path: Path, strand: str) -> None:
    trace, truth = recorded(tmp_path, "proof", strand, 3)
    result, part = shown(trace)
    assert truth.outcome == "intact"
    near(part, "strain_reached_pct", 100.0 * truth.furthest_strain)
    assert result.verdict.verdict_class == "meets"
    assert "at least" in result.verdict.statement


def work(truth: StrandTruth) -> float:
    """Integral of the stress to 20 % strain in first loading [MJ/m3]."""
    bend = truth.curve.yield_strain
    return float(quad(truth.curve.stress_mpa, 0.0, 0.2, points=[bend], limit=200)[0])


@pytest.mark.parametrize(("seed", "noisy"), [(1, False), (2, True)])
@pytest.mark.parametrize("treatment", ["rest", "peroxide", "waving", "waving-twice"])
def test_before_and_after(tmp_path: Path, treatment: str, seed: int, noisy: bool) -> None:
    before, truth = recorded(tmp_path / "a", "proof", "virgin", seed, noisy=noisy)
    after, treated = recorded(tmp_path / "b", "proof", "virgin", seed, noisy=noisy, treatment=treatment)
    assert replace(treated.parts[0], curve=truth.parts[0].curve) == truth.parts[0]
    found = compare_before_after(before, after).work_to_20pct_left_pct
    assert isinstance(found, Measured)
    ratio = 100.0 * work(treated.parts[0]) / work(truth.parts[0])
    assert abs(found.value - ratio) < 3.0 * found.u
    assert found.u < 1.5


def test_spring_comes_back_whole(tmp_path: Path) -> None:
    """A spring has no yield region, no set and loses no work: nothing may be made up."""
    trace, truth = recorded(tmp_path, "stretch_return", "reference-spring", 1, rest_s=5.0)
    _, part = shown(trace)
    assert truth.parts[0].set_share == 0.0
    near(part, "set_after_rest_pct", 0.0)
    near(part, "recovery_after_rest_pct", 100.0)
    lost = part.quantities["work_lost_pct"]
    assert isinstance(lost, Measured)
    assert abs(lost.value) < 2.0
