"""How well known truths are recovered: bias and coverage over many simulated pulls, as tables.

Every pull is of another strand on another rig: all that the analysis is told with an uncertainty is off by a draw
from that very uncertainty, the noise is new, and so is where the readings fall. Run as a script it writes the
tables (10,000 pulls, a few minutes on two cores); the tests use the same draws for fewer.

    python -m tests.bench.recovery --pulls 10000 --write
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from analysis.analyse import analyse
from analysis.guideline import Guideline
from analysis.results import Measured
from analysis.synthetic import Truth, make_trace
from recordings.format import ExtensionCalibration, ForceCalibration, Specimen

TABLES = Path(__file__).resolve().parents[2] / "analysis" / "RECOVERY.md"

#: Standard uncertainties that a carefully kept college rig would state: gauge length [mm], diameter [share], force
#: and extension scale [shares], stage position [mm], give of the rig [mm/N].
U_GAUGE_MM = 0.1
U_DIAMETER = 0.01
U_FORCE = 0.003
U_EXTENSION = 0.001
U_POSITION_MM = 0.003
U_COMPLIANCE = 0.002
COMPLIANCE = 0.015
N_PER_COUNT = 3e-7
MM_PER_STEP = 1.0 / 800.0

#: Results that are held against the truth.
RESULTS = (
    "elongation_at_break_pct",
    "force_max_n",
    "initial_modulus_gpa",
    "yield_strain_pct",
    "yield_stress_mpa",
    "post_yield_strain_pct",
    "work_to_20pct_mj_m3",
    "stress_at_break_mpa",
)


@dataclass(frozen=True)
class Case:
    """One kind of pull; the ranges are drawn from evenly."""

    name: str
    noise_n: float = 0.0005
    rate_hz: float = 80.0
    slack_mm: tuple[float, float] = (0.05, 0.3)
    lag_s: float = 0.0
    drift_n_per_s: float = 0.0
    glitches: int = 0
    rounding: float = 0.0


CASES = (
    Case("clean"),
    Case("noisy", noise_n=0.005),
    Case("slow readings (10/s)", rate_hz=10.5),
    Case("fast readings (500/s)", rate_hz=500.0, noise_n=0.002),
    Case("much slack", slack_mm=(0.5, 2.0)),
    Case("drifting zero", drift_n_per_s=0.0002),
    Case("three glitches", glitches=3),
    Case("slow filter", lag_s=0.06),
    Case("round corners", rounding=0.006),
    Case("glitches, lag and slack", glitches=3, lag_s=0.03, slack_mm=(0.3, 1.0), noise_n=0.002),
)


@dataclass(frozen=True)
class Recovered:
    """One pull: by result, its error and its stated standard uncertainty; what is missing was not measured."""

    errors: dict[str, tuple[float, float]]
    outcome: str


def draw_truth(case: Case, rng: np.random.Generator) -> Truth:
    """Another strand on another rig, off by draws from the uncertainties that the analysis is told."""
    bend, rise = rng.uniform(0.018, 0.026), rng.uniform(60.0, 95.0)
    second, third = rng.uniform(0.26, 0.31), rng.uniform(0.34, 0.50)
    plateau = rise + rng.uniform(8.0, 20.0)
    top = plateau + rng.uniform(450.0, 750.0) * (third - second)
    diameter_um = float(rng.uniform(55.0, 90.0))
    return Truth(
        knots=((0.0, 0.0), (bend, rise), (second, plateau), (third, top)),
        rounding=case.rounding,
        diameter_um=diameter_um,
        slack_mm=float(rng.uniform(*case.slack_mm)),
        compliance_mm_per_n=COMPLIANCE,
        rate_hz=case.rate_hz,
        noise_n=case.noise_n,
        drift_n_per_s=float(rng.normal(0.0, case.drift_n_per_s)),
        lag_s=case.lag_s,
        n_per_count=N_PER_COUNT,
        gauge_error_mm=float(rng.normal(0.0, U_GAUGE_MM)),
        diameter_error=float(rng.normal(0.0, U_DIAMETER)),
        force_error=float(rng.normal(0.0, U_FORCE)),
        extension_error=float(rng.normal(0.0, U_EXTENSION)),
        zero_error_n=float(rng.normal(0.0, case.noise_n / np.sqrt(10.0))),
        compliance_error_mm_per_n=float(rng.normal(0.0, U_COMPLIANCE)),
        stage_error_mm=float(rng.rayleigh(U_POSITION_MM)),
        stage_phase=float(rng.uniform(0.0, 2.0 * np.pi)),
        specimen=Specimen(30.0, u_gauge_length_mm=U_GAUGE_MM, u_diameter_um=U_DIAMETER * diameter_um),
        force_calibration=ForceCalibration(N_PER_COUNT, u_rel=U_FORCE, kind="weights"),
        extension_calibration=ExtensionCalibration(
            MM_PER_STEP, u_rel=U_EXTENSION, u_mm=U_POSITION_MM, u_compliance_mm_per_n=U_COMPLIANCE, kind="blocks"
        ),
    )


def truth_of(strand: Truth) -> dict[str, float]:
    """What a perfect measurement would give."""
    (_, (bend, rise), (second, _), (third, top)) = strand.knots
    strain = np.linspace(0.0, 0.2, 20_001)
    stress = strand.stress_mpa(strain)
    end = float(strand.stress_mpa(np.array([third]))[0])
    return {
        "elongation_at_break_pct": 100.0 * third,
        "force_max_n": end * strand.area_um2 * 1e-6,
        "initial_modulus_gpa": rise / bend / 1000.0,
        "yield_strain_pct": 100.0 * bend,
        "yield_stress_mpa": rise,
        "post_yield_strain_pct": 100.0 * second,
        "work_to_20pct_mj_m3": float(np.trapezoid(stress, strain)),
        "stress_at_break_mpa": end,
        "top": top,
    }


def recover(case: Case, seed: int) -> Recovered:
    """Pull one strand and compare what is found with the truth."""
    rng = np.random.default_rng((seed, CASES.index(case) if case in CASES else 99))
    strand = draw_truth(case, rng)
    trace = make_trace(strand, int(rng.integers(2**31)))
    if case.glitches and trace.counts is not None and trace.force_n is not None:
        at = rng.choice(trace.counts.size, case.glitches, replace=False)
        counts, force = trace.counts.copy(), trace.force_n.copy()
        counts[at], force[at] = 2**23 - 1, (2**23 - 1) * N_PER_COUNT
        trace = replace(trace, counts=counts, force_n=force)
    found = analyse(trace, Guideline())
    true = truth_of(strand)
    errors = {}
    for name in RESULTS:
        quantity = getattr(found, name)
        if isinstance(quantity, Measured):
            errors[name] = (quantity.value - true[name], quantity.u)
    return Recovered(errors, found.outcome)


def recover_many(case: Case, seeds: range) -> list[Recovered]:
    """One case for several seeds; at the top level so that processes can be given it."""
    return [recover(case, seed) for seed in seeds]


@dataclass(frozen=True)
class Row:
    """One result over many pulls: how many, median and mean error, median size of error, shares inside k u."""

    name: str
    n: int
    mean: float
    median_size: float
    median_u: float
    inside_95: float
    inside_k2: float


def summarise(pulls: list[Recovered]) -> Iterator[Row]:
    """The rows of one case."""
    for name in RESULTS:
        pairs = np.array([pull.errors[name] for pull in pulls if name in pull.errors])
        if pairs.size == 0:
            continue
        error, u = pairs.T
        yield Row(
            name,
            len(pairs),
            float(error.mean()),
            float(np.median(np.abs(error))),
            float(np.median(u)),
            float(np.mean(np.abs(error) <= 1.959964 * u)),
            float(np.mean(np.abs(error) <= 2.0 * u)),
        )


def _table(case: Case, pulls: list[Recovered]) -> str:
    lines = [
        f"\n## {case.name[0].upper()}{case.name[1:]}\n",
        f"{len(pulls)} pulls, {sum(p.outcome == 'broke' for p in pulls)} of them found broken.\n",
        "| result | pulls | mean error | median size of error | median u | inside 95 % interval |",
        "|---|---|---|---|---|---|",
    ]
    for row in summarise(pulls):
        numbers = (
            f"{row.n} | {row.mean:+.4f} | {row.median_size:.4f} | {row.median_u:.4f} | {100 * row.inside_95:.1f} %"
        )
        lines.append(f"| {row.name} | {numbers} |")
    return "\n".join(lines)


def main(arguments: list[str] | None = None) -> int:
    """Run all cases and print or write their tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pulls", type=int, default=10_000, help="pulls in all, shared among the cases")
    parser.add_argument("--write", action="store_true", help=f"write {TABLES.name} instead of printing")
    wanted = parser.parse_args(arguments)
    each = max(1, wanted.pulls // len(CASES))
    parts = [HEAD.format(pulls=each * len(CASES))]
    with ProcessPoolExecutor(max_workers=2) as pool:
        halves = [(case, range(0, each // 2)) for case in CASES] + [
            (case, range(each // 2, each)) for case in CASES
        ]
        found = list(pool.map(recover_many, *zip(*halves, strict=True)))
    for k, case in enumerate(CASES):
        parts.append(_table(case, found[k] + found[k + len(CASES)]))
    text = "\n".join(parts) + "\n"
    if wanted.write:
        TABLES.write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)
    return 0


HEAD = """# What the analysis recovers

Made by `python -m tests.bench.recovery --pulls {pulls} --write`; the same code gives the same tables. Every
pull is of another simulated strand on another simulated rig (`analysis.synthetic`, which shares no code with
the simulated rig). Whatever the analysis is told with an uncertainty is off by a draw from that uncertainty:
gauge length 0.1 mm, diameter 1 %, force scale 0.3 %, extension scale 0.1 %, stage position 3 um (a wave of 1
mm, of another height on each rig), give of the rig 0.002 mm/N, zero from ten readings. An honest uncertainty
holds the truth in 95 of 100 intervals: more means it is stated too wide, fewer too narrow. Errors are in the
unit of the result's name.
"""


if __name__ == "__main__":
    sys.exit(main())
