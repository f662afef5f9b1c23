"""Pulls with a known truth, for tests and for tables of bias and coverage.

Owns closed-form curves and the ways a rig spoils them. Shares no code with the simulated rig, and knows nothing of
how a curve is analysed.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from analysis.trace import FloatArray, IntArray, Trace
from recordings.format import ExtensionCalibration, ForceCalibration, Mark, Method, Specimen

#: Knots of a keratin-like curve: strain, and stress [MPa].
KERATIN = ((0.0, 0.0), (0.02, 80.0), (0.30, 95.0), (0.45, 200.0))


#: What the rig is told about itself where a truth says nothing else.
FORCE = ForceCalibration(1.5e-7, kind="simulated")
EXTENSION = ExtensionCalibration(1.0 / 800.0, kind="simulated")


@dataclass(frozen=True, slots=True)
class Truth:
    """A strand and a rig, exactly. Strains are fractions; `rounding` is the half-width of each corner in strain."""

    knots: tuple[tuple[float, float], ...] = KERATIN
    rounding: float = 0.0
    gauge_mm: float = 30.0
    diameter_um: float = 70.0
    slack_mm: float = 0.0
    toe_strain: float = 0.0
    compliance_mm_per_n: float = 0.0
    speed_mm_s: float = 0.3
    rate_hz: float = 80.0
    noise_n: float = 0.0
    drift_n_per_s: float = 0.0
    lag_s: float = 0.0
    after_s: float = 1.0
    #: Share of the load that stays after the break.
    residue: float = 0.0
    breaks: bool = True
    n_per_count: float = 1.5e-7
    #: Errors of what the analysis is told: gauge length [mm], diameter, force and extension scale [shares].
    gauge_error_mm: float = 0.0
    diameter_error: float = 0.0
    force_error: float = 0.0
    extension_error: float = 0.0
    zero_error_n: float = 0.0
    compliance_error_mm_per_n: float = 0.0
    #: Periodic error of the stage: amplitude, period [mm] and phase [rad].
    stage_error_mm: float = 0.0
    stage_period_mm: float = 1.0
    stage_phase: float = 0.0
    specimen: Specimen = field(default_factory=lambda: Specimen(gauge_length_mm=30.0))
    force_calibration: ForceCalibration = FORCE
    extension_calibration: ExtensionCalibration = EXTENSION

    @property
    def area_um2(self) -> float:
        """Cross-section of the round strand."""
        return float(np.pi * self.diameter_um**2 / 4.0)

    @property
    def break_strain(self) -> float:
        """Strain at which the strand breaks."""
        return self.knots[-1][0]

    @property
    def length_mm(self) -> float:
        """Length of the strand when it is just taut."""
        return self.gauge_mm + self.slack_mm

    def stress_mpa(self, strain: FloatArray) -> FloatArray:
        """Stress at a strain: joined lines, corners rounded by parabolas, and a parabolic toe."""
        e = np.asarray(strain, dtype=np.float64)
        if self.toe_strain > 0.0:
            e = np.where(e < self.toe_strain, e * e / (2.0 * self.toe_strain), e - self.toe_strain / 2.0)
        at = np.array([k[0] for k in self.knots])
        height = np.array([k[1] for k in self.knots])
        slopes = np.diff(height) / np.diff(at)
        out = np.where(e > 0.0, slopes[0] * e, 0.0)
        for knot, turn in zip(at[1:-1], np.diff(slopes), strict=True):
            out = out + turn * _rounded_ramp(e - knot, self.rounding)
        return np.asarray(np.where(e > 0.0, out, 0.0))


def _rounded_ramp(d: FloatArray, half: float) -> FloatArray:
    """(d)+ with its corner replaced by a parabola over -half..half."""
    if half <= 0.0:
        return np.maximum(d, 0.0)
    return np.where(np.abs(d) < half, (d + half) ** 2 / (4.0 * half), np.maximum(d, 0.0))


def make_trace(truth: Truth, seed: int = 0, *, as_table: bool = False) -> Trace:
    """Pull the strand at constant speed and record it as counts and steps, as a rig would.

    `as_table` leaves counts and calibrations out, as another program's table has none.
    """
    rng = np.random.default_rng(seed)
    stage, force = _pull(truth)
    t = np.arange(stage.size) / truth.rate_hz
    seen = _lagged(force, truth.lag_s * truth.rate_hz) * (1.0 + truth.force_error)
    seen = seen + truth.drift_n_per_s * t + truth.zero_error_n + rng.normal(0.0, truth.noise_n, stage.size)
    wave = truth.stage_error_mm * np.sin(2.0 * np.pi * stage / truth.stage_period_mm + truth.stage_phase)
    told = (stage + wave - wave[0]) * (1.0 + truth.extension_error)
    counts = np.rint(seen / truth.n_per_count).astype(np.int64)
    steps = np.rint(told / truth.extension_calibration.mm_per_step)
    trace = _as_told(truth, t, counts, steps * truth.extension_calibration.mm_per_step)
    if not as_table:
        return trace
    return replace(
        trace,
        force_n=seen,
        extension_mm=told,
        counts=None,
        flags=None,
        full_scale_counts=None,
        force_calibration=None,
        extension_calibration=None,
        force_resolution_n=None,
        extension_resolution_mm=None,
        u_zero_n=None,
        marks=(),
        end_reason="",
    )


def _pull(truth: Truth) -> tuple[FloatArray, FloatArray]:
    """Stage position [mm] and force [N] of every sample, break and what follows included."""
    step = truth.speed_mm_s / truth.rate_hz
    area = truth.area_um2 * 1e-6
    strain = np.linspace(0.0, truth.break_strain, 4000)
    force = truth.stress_mpa(strain) * area
    wanted = truth.slack_mm + strain * truth.length_mm + truth.compliance_mm_per_n * force
    last = float(wanted[-1])
    n = int(np.floor(last / step + 1e-9)) + 1
    stage: FloatArray = np.arange(n + round(truth.after_s * truth.rate_hz), dtype=np.float64) * step
    true_strain = _strain_at(truth, stage[:n], area)
    pulled = truth.stress_mpa(true_strain) * area
    if not truth.breaks:
        return stage[:n], pulled
    rest = np.full(stage.size - n, truth.residue * float(force[-1]))
    return stage, np.concatenate((pulled, rest))


def _strain_at(truth: Truth, stage: FloatArray, area: float) -> FloatArray:
    """True strain at each stage position: what is left after slack and the rig's own give (by bisection)."""
    low = np.zeros_like(stage) - 1e-3
    high = np.full_like(stage, truth.break_strain + 1e-3)
    if truth.compliance_mm_per_n == 0.0:
        return (stage - truth.slack_mm) / truth.length_mm
    for _ in range(60):
        middle = (low + high) / 2.0
        at = truth.slack_mm + middle * truth.length_mm + truth.compliance_mm_per_n * truth.stress_mpa(middle) * area
        low, high = np.where(at < stage, middle, low), np.where(at < stage, high, middle)
    return np.asarray((low + high) / 2.0)


def _lagged(force: FloatArray, samples: float) -> FloatArray:
    """The force as a filter of the first order shows it, with this time constant in samples."""
    if samples <= 0.0:
        return force
    keep = np.exp(-1.0 / samples)
    out = np.empty_like(force)
    held = force[0]
    for k, value in enumerate(force):
        held = keep * held + (1.0 - keep) * value
        out[k] = held
    return out


def _as_told(truth: Truth, t: FloatArray, counts: IntArray, extension_mm: FloatArray) -> Trace:
    """The trace as the analysis gets it: with the calibration and the specimen as they were measured."""
    cal = replace(
        truth.extension_calibration,
        compliance_mm_per_n=truth.compliance_mm_per_n + truth.compliance_error_mm_per_n,
    )
    specimen = replace(
        truth.specimen,
        gauge_length_mm=truth.gauge_mm + truth.gauge_error_mm,
        diameter_um=truth.diameter_um * (1.0 + truth.diameter_error),
    )
    return Trace(
        name="synthetic",
        time_s=t,
        force_n=np.asarray(counts * truth.n_per_count, dtype=np.float64),
        extension_mm=extension_mm,
        specimen=specimen,
        method=Method(),
        counts=counts.astype(np.int64),
        flags=np.zeros(t.size, dtype=np.int64),
        full_scale_counts=2**23 - 1,
        force_calibration=truth.force_calibration,
        extension_calibration=cal,
        force_resolution_n=truth.n_per_count,
        extension_resolution_mm=cal.mm_per_step,
        u_zero_n=truth.noise_n / np.sqrt(10.0),
        marks=(Mark("zeroed", 0),),
        end_reason="break" if truth.breaks else "travel_limit",
        simulated=True,
    )
