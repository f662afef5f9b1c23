"""The check before the day's first strand: one weight and a reference spring against what they should read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.errors import InputError
from recordings.format import ExtensionCalibration, ForceCalibration

#: Coverage factor of the comparison: the normalised error's usual 2 (ISO 13528, from memory).
COVERAGE = 2.0
#: Drift of the force [%] or spring [%] beyond which a new calibration is asked for: class 1's error limit.
RECALIBRATE_PCT = 1.0


@dataclass(frozen=True, slots=True)
class CheckResult:
    """The outcome of one check: "pass", "drifted" or "recalibrate", how far off [%], and a sentence."""

    what: str
    outcome: str
    off_pct: float
    u_pct: float
    sentence: str


@dataclass(frozen=True, slots=True)
class RestLevel:
    """A level of the force at rest with its standard uncertainty [count], and where the stage stood [step]."""

    counts: float
    u_counts: float
    steps: int = 0


def force_at(calibration: ForceCalibration, zero: RestLevel, level: RestLevel) -> tuple[float, float]:
    """Force of a level over the zero [N], and its standard uncertainty.

    F = a x + b x**2; the fit's covariance, what is common to the scale, and both levels' own uncertainty.
    """
    x = level.counts - zero.counts
    force = calibration.n_per_count * x + calibration.n_per_count2 * x * x
    slope = calibration.n_per_count + 2 * calibration.n_per_count2 * x
    fit = (
        (x * calibration.u_n_per_count) ** 2
        + (x * x * calibration.u_n_per_count2) ** 2
        + 2 * x**3 * calibration.cov
    )
    levels = (slope * math.hypot(zero.u_counts, level.u_counts)) ** 2
    return force, math.sqrt(max(fit, 0.0) + levels + (force * calibration.u_rel) ** 2)


def spring_rate(
    force: ForceCalibration, extension: ExtensionCalibration, zero: RestLevel, near: RestLevel, far: RestLevel
) -> tuple[float, float]:
    """Stiffness of a spring from two positions [N/mm], the rig's own give taken out, and its standard uncertainty.

    k = dF / (dx - C dF), so that slack at the start does not count. Raises InputError where the force did not grow.
    """
    (low, _), (high, u_high) = force_at(force, zero, near), force_at(force, zero, far)
    rise, way = high - low, (far.steps - near.steps) * extension.mm_per_step
    stretched = way - extension.compliance_mm_per_n * rise
    if not (rise > 0 and stretched > 0):
        raise InputError("the force did not grow as the spring was stretched; check that it hangs in both clamps")
    levels = abs(force.n_per_count) * math.hypot(near.u_counts, far.u_counts)
    u_rise = math.hypot(levels, rise * u_high / high)
    u_way = math.hypot(way * extension.u_rel, math.sqrt(2) * extension.u_mm, rise * extension.u_compliance_mm_per_n)
    rate = rise / stretched
    return rate, rate * math.hypot(u_rise / rise * way / stretched, u_way / stretched)


def check_reading(what: str, expected: float, u_expected: float, found: float, u_found: float) -> CheckResult:
    """Compare a reading with what it should be, both in the same unit.

    Passes while the difference stays within COVERAGE of its standard uncertainty; drifted beyond that;
    recalibrate beyond RECALIBRATE_PCT. Raises InputError where nothing is expected.
    """
    if not expected > 0:
        raise InputError(f"{what}: the expected reading must be greater than zero")
    off = 100 * (found - expected) / expected
    u = 100 * math.hypot(u_expected, u_found) / expected
    if abs(off) > RECALIBRATE_PCT and abs(off) > COVERAGE * u:
        outcome, do = "recalibrate", "calibrate the rig again before any strand is judged"
    elif abs(off) > COVERAGE * u:
        outcome, do = "drifted", "usable today; calibrate soon, and look for what changed"
    else:
        outcome, do = "pass", "the rig reads as it did when it was calibrated"
    sentence = f"{what}: {off:+.2f} % from the expected reading (±{COVERAGE * u:.2f} %); {do}"
    return CheckResult(what, outcome, off, u, sentence)
