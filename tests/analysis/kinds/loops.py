"""Stretch and return, and holds, in closed form: set, recovery, work and relaxation are known exactly.

Shares no code with the simulated rig. The way back follows a power law down to the set, the second stretch is the
first one moved to the set that is left after the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.synthetic import Truth
from analysis.trace import FloatArray, Trace
from recordings.format import ExtensionCalibration, ForceCalibration, Mark, Method, Specimen

#: What the rig is told about its own scales.
U_FORCE, U_LENGTH, U_MM, U_GIVE = 1e-3, 2e-4, 2e-3, 1e-3


CURVE = Truth(rounding=0.002)


@dataclass(frozen=True)
class Loop:
    """A strand in one stretch and return; strains are fractions."""

    curve: Truth = CURVE
    reached: float = 0.205
    set_at_once: float = 0.014
    set_after_rest: float = 0.009
    steep: float = 0.45
    power: float = 6.0
    relaxed: float = 0.1
    tau_s: float = 25.0
    exponent: float = 1.0
    hold_s: float = 5.0
    rest_s: float = 10.0
    slack_mm: float = 0.4
    give_mm_per_n: float = 0.012
    rate_hz: float = 80.0
    speed_mm_s: float = 0.3
    noise_n: float = 5e-5
    lag_readings: int = 0
    drift_n_per_s: float = 0.0
    zero_n: float = 0.0
    #: Errors of what the analysis is told.
    gauge_error_mm: float = 0.0
    u_gauge_mm: float = 0.05
    force_error: float = 0.0
    length_error: float = 0.0

    @property
    def length_mm(self) -> float:
        return self.curve.gauge_mm + self.slack_mm

    @property
    def area_mm2(self) -> float:
        return self.curve.area_um2 * 1e-6

    def load_n(self, strain: FloatArray) -> FloatArray:
        return self.curve.stress_mpa(np.asarray(strain)) * self.area_mm2

    @property
    def top_n(self) -> float:
        return float(self.load_n(np.array([self.reached]))[0])

    @property
    def held_n(self) -> float:
        return float(self.relaxation_n(np.array([self.hold_s]))[0])

    def relaxation_n(self, time_s: FloatArray) -> FloatArray:
        decay = np.exp(-((time_s / self.tau_s) ** self.exponent))
        return self.top_n * (1.0 - self.relaxed * (1.0 - decay))

    def back_n(self, strain: FloatArray) -> FloatArray:
        done = np.clip((strain - self.set_at_once) / (self.reached - self.set_at_once), 0.0, 1.0)
        return self.held_n * ((1.0 - self.steep) * done + self.steep * done**self.power)

    def again_n(self, strain: FloatArray) -> FloatArray:
        return self.load_n(strain - self.set_after_rest)

    @property
    def truth(self) -> dict[str, float]:
        """What the analysis should find, by the names of its results."""
        e = np.linspace(0.0, self.reached, 200_001)
        done = float(np.trapezoid(self.load_n(e), e)) * self.length_mm * 1e3
        back = self.held_n * (self.reached - self.set_at_once) * self.length_mm * 1e3
        back *= (1.0 - self.steep) / 2.0 + self.steep / (self.power + 1.0)
        at_once, rested = self.set_at_once / self.reached, self.set_after_rest / self.reached
        return {
            "strain_reached_pct": 100.0 * self.reached,
            "force_reached_n": self.top_n,
            "force_after_hold_n": self.held_n,
            "set_at_once_pct": 100.0 * self.set_at_once,
            "set_after_rest_pct": 100.0 * self.set_after_rest,
            "recovery_at_once_pct": 100.0 * (1.0 - at_once),
            "recovery_after_rest_pct": 100.0 * (1.0 - rested),
            "recovery_delayed_pct": 100.0 * (at_once - rested),
            "work_done_uj": done,
            "work_given_back_uj": back,
            "work_lost_pct": 100.0 * (1.0 - back / done),
        }


def make_loop(loop: Loop, seed: int = 0, *, kind: str = "stretch_return", upto: str = "") -> Trace:
    """Record the loop as a rig would, up to and with the phase `upto` (all where none is named)."""
    rng = np.random.default_rng(seed)
    stages, forces, marks, rows = [], [], [], 0
    for name, strain, force in _phases(loop, kind):
        stage = loop.slack_mm + strain * loop.length_mm + loop.give_mm_per_n * force
        marks.append(Mark("phase", rows, data={"name": name}))
        stages.append(stage)
        forces.append(force)
        rows += stage.size
        if name == upto:
            break
    stage, force = np.concatenate(stages), np.concatenate(forces)
    time_s = np.arange(stage.size) / loop.rate_hz
    late = np.concatenate((np.full(loop.lag_readings, force[0]), force))[: force.size]
    seen = late * (1.0 + loop.force_error) + loop.zero_n + loop.drift_n_per_s * time_s
    seen += rng.normal(0.0, loop.noise_n, seen.size)
    return _trace(loop, time_s, seen, (stage - stage[0]) * (1.0 + loop.length_error), marks, kind, rng)


def _phases(loop: Loop, kind: str) -> list[tuple[str, FloatArray, FloatArray]]:
    """Name, strain of the strand and force in each phase; the strand follows the stage less the rig's give."""
    step = loop.speed_mm_s / loop.rate_hz / loop.length_mm
    slack = -loop.slack_mm / loop.length_mm
    out = np.arange(slack, loop.reached, step)
    out = np.append(out, loop.reached)
    held_s = np.arange(1, round(loop.hold_s * loop.rate_hz) + 1) / loop.rate_hz
    back = np.append(np.arange(loop.reached - step, slack, -step), np.full(30, slack))
    again = np.append(np.arange(slack, loop.reached / 2.0, step), loop.reached / 2.0)
    gone = np.append(np.arange(loop.reached / 2.0 - step, slack, -step), np.full(30, slack))
    rest = np.full(round(loop.rest_s * loop.rate_hz), slack)
    found = [
        ("stretch", out, loop.load_n(out)),
        ("hold", np.full(held_s.size, loop.reached), loop.relaxation_n(held_s)),
        ("return", back, loop.back_n(back)),
        ("rest", rest, np.zeros(rest.size)),
        ("stretch_again", again, loop.again_n(again)),
        ("let_go", gone, np.where(gone > loop.set_after_rest, loop.again_n(gone), 0.0)),
    ]
    if kind == "hold":
        return found[:3]
    return [found[0], found[2]] if kind == "proof" else found


def _trace(
    loop: Loop, time_s: FloatArray, force: FloatArray, stage: FloatArray, marks: list[Mark], kind: str, rng: object
) -> Trace:
    n_per_count, mm_per_step = 1e-8, 1.0 / 800.0
    counts = np.rint(force / n_per_count).astype(np.int64)
    return Trace(
        name="closed form",
        time_s=time_s,
        force_n=counts * n_per_count,
        extension_mm=np.rint(stage / mm_per_step) * mm_per_step,
        specimen=Specimen(loop.curve.gauge_mm + loop.gauge_error_mm, loop.u_gauge_mm, reference="K-1"),
        method=Method(kind=kind, hold_s=loop.hold_s, rest_s=loop.rest_s, target_strain_pct=20.0),
        counts=counts,
        flags=np.zeros(counts.size, dtype=np.int64),
        full_scale_counts=2**31 - 1,
        force_calibration=ForceCalibration(n_per_count, u_rel=U_FORCE, kind="simulated"),
        extension_calibration=ExtensionCalibration(
            mm_per_step, U_LENGTH, U_MM, loop.give_mm_per_n, U_GIVE, kind="simulated"
        ),
        force_resolution_n=n_per_count,
        extension_resolution_mm=mm_per_step,
        u_zero_n=loop.noise_n / 9.0,
        marks=(Mark("zeroed", 0), Mark("started", 0), *marks),
        end_reason="done",
        simulated=True,
        date="2026-11-25",
    )


def drawn(loop: Loop, seed: int) -> Loop:
    """The loop with its rig off by errors drawn from what the rig is told that its uncertainties are."""
    rng = np.random.default_rng(seed + 10_000)
    return replace(
        loop,
        gauge_error_mm=float(rng.normal(0.0, loop.u_gauge_mm)),
        force_error=float(rng.normal(0.0, U_FORCE)),
        length_error=float(rng.normal(0.0, U_LENGTH)),
        zero_n=float(rng.normal(0.0, loop.noise_n / 9.0)),
        slack_mm=float(rng.uniform(0.2, 0.7)),
        set_at_once=float(rng.uniform(0.008, 0.03)),
        set_after_rest=float(rng.uniform(0.002, 0.007)),
        reached=float(rng.uniform(0.15, 0.25)),
    )
