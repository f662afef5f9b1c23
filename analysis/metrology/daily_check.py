"""The check before the day's first strand: one weight and a reference spring against what they should read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.errors import InputError

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
