"""Millimetres from steps by gauge blocks, a dial gauge or counted turns, and the rig's own give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.errors import InputError
from analysis.metrology.findings import Finding, Severity, refused
from analysis.metrology.polynomial import PolynomialFit, fit_polynomial
from recordings.format import ExtensionCalibration

#: Different lengths below which no calibration of extension is made.
ENOUGH_LENGTHS = 3
#: Residual of a point [mm] beyond which the stage is called uneven: 600 um is a tenth of the 20 % guideline
#: on 30 mm, and a thirtieth of that is asked for here.
UNEVEN_MM = 0.02
#: Share of the calibrated way [%] beyond which a point off the line says that a reading is wrong: refused.
WRONG_READING_PCT = 1.0
#: Difference between the two directions of approach [mm] from which backlash is named.
BACKLASH_MM = 0.02
#: Different specimen lengths below which no compliance is given.
ENOUGH_SPECIMENS = 3


@dataclass(frozen=True, slots=True)
class LengthStep:
    """One comparison: what the reference says [mm], with its standard uncertainty, and the step counter."""

    reference_mm: float
    u_reference_mm: float
    steps: int
    outward: bool = True


@dataclass(frozen=True, slots=True)
class ExtensionReport:
    """A judged calibration of extension; `calibration` is None where it was refused."""

    calibration: ExtensionCalibration | None
    fit: PolynomialFit | None
    backlash_mm: float | None
    findings: tuple[Finding, ...]


def calibrate_extension(
    points: Sequence[LengthStep], *, kind: str = "gauge blocks", date: str = "", person: str = ""
) -> ExtensionReport:
    """Fit length against steps and judge it.

    Method: a line by least squares through the points approached outwards; its slope is `mm_per_step`, its
    scatter the uneven part `u_mm`; backlash is the mean distance of the points approached inwards from that
    line. Refuses fewer than ENOUGH_LENGTHS different lengths, and a reference that doesn't follow the steps.
    """
    out = [p for p in points if p.outward]
    if len({p.reference_mm for p in out}) < ENOUGH_LENGTHS:
        sentence = f"measure at least {ENOUGH_LENGTHS} different lengths, each approached outwards"
        return ExtensionReport(None, None, None, (Finding("too_few_lengths", Severity.REFUSE, sentence),))
    fit = fit_polynomial([p.steps for p in out], [p.reference_mm for p in out], 1)
    slope = float(fit.coefficients[1])
    findings = _judge(out, fit, slope)
    inward = [p.reference_mm - fit.predict(p.steps)[0] for p in points if not p.outward]
    backlash = float(np.mean(inward)) if inward else None
    if backlash is not None and abs(backlash) > BACKLASH_MM:
        sentence = f"coming back the stage stands {abs(backlash):.3f} mm off: measure in the pulling direction only"
        findings += (Finding("backlash", Severity.WARN, sentence),)
    if refused(findings):
        return ExtensionReport(None, fit, backlash, findings)
    u_reference = max(p.u_reference_mm for p in out) * math.sqrt(2) / _span_mm(out)
    u_rel = math.hypot(float(fit.u[1]) / slope, u_reference)
    calibration = ExtensionCalibration(slope, u_rel, fit.residual_sd, kind=kind, date=date, person=person)
    return ExtensionReport(calibration, fit, backlash, findings)


def _judge(out: Sequence[LengthStep], fit: PolynomialFit, slope: float) -> tuple[Finding, ...]:
    if slope <= 0:
        sentence = "the reference gets shorter as the steps go up; swap the direction, or check the readings' order"
        return (Finding("wrong_way", Severity.REFUSE, sentence),)
    at = int(np.argmax(np.abs(fit.residuals)))
    worst = abs(float(fit.residuals[at]))
    if worst > WRONG_READING_PCT / 100 * _span_mm(out):
        sentence = (
            f"the readings don't follow the steps: {out[at].reference_mm:g} mm at step {out[at].steps} lies "
            f"{worst:.3f} mm off the line; look for a mistyped or misread one, and measure again"
        )
        return (Finding("not_straight", Severity.REFUSE, sentence),)
    if worst > UNEVEN_MM:
        sentence = (
            f"one point lies {worst:.3f} mm off the line; measure it again, or look for a bent or dirty screw"
        )
        return (Finding("uneven", Severity.WARN, sentence),)
    return ()


def _span_mm(points: Sequence[LengthStep]) -> float:
    return max(p.reference_mm for p in points) - min(p.reference_mm for p in points)


def from_turns(steps: int, turns: float, lead_mm: float, u_lead_mm: float = 0.0) -> ExtensionCalibration:
    """Calibration of extension from counted turns of the screw and its lead [mm].

    Raises InputError where a count or the lead is not positive.
    """
    if steps <= 0 or turns <= 0 or lead_mm <= 0:
        raise InputError("steps, turns and the lead of the screw must all be greater than zero")
    return ExtensionCalibration(turns * lead_mm / steps, u_lead_mm / lead_mm, kind="counted turns")


@dataclass(frozen=True, slots=True)
class StiffPull:
    """A pull on a specimen of known stiffness law: free length [mm], area [mm2], extension per force [mm/N]."""

    length_mm: float
    area_mm2: float
    mm_per_n: float


@dataclass(frozen=True, slots=True)
class Compliance:
    """The rig's give [mm/N] and the specimens' modulus [MPa], with standard uncertainties."""

    mm_per_n: float
    u_mm_per_n: float
    modulus_mpa: float
    u_modulus_mpa: float


def rig_compliance(pulls: Sequence[StiffPull]) -> Compliance:
    """The rig's own give from specimens of one material and several lengths.

    dL/F = l / (E A) + Cs: extension per force against length over area is a line whose intercept is the give
    Cs and whose slope is 1/E (system compliance of ASTM C1557; formula from memory). Raises InputError with
    fewer than three different lengths, where the line rises the wrong way, or where the give is below zero.
    """
    if len({round(p.length_mm / p.area_mm2, 9) for p in pulls}) < ENOUGH_SPECIMENS:
        raise InputError(
            f"pull specimens of at least {ENOUGH_SPECIMENS} different lengths to find the rig's own give"
        )
    fit = fit_polynomial([p.length_mm / p.area_mm2 for p in pulls], [p.mm_per_n for p in pulls], 1)
    give, slope = (float(c) for c in fit.coefficients)
    if slope <= 0:
        raise InputError("longer specimens gave less than shorter ones; check lengths, and that nothing slipped")
    if give < -2 * float(fit.u[0]):
        raise InputError(
            f"the rig's give comes out at {1000 * give:.2f} µm/N, which is less than nothing; check the lengths "
            "and thicknesses of the specimens"
        )
    modulus = 1 / slope
    return Compliance(give, float(fit.u[0]), modulus, modulus * float(fit.u[1]) / slope)


def with_compliance(calibration: ExtensionCalibration, compliance: Compliance) -> ExtensionCalibration:
    """The calibration with the rig's give in it."""
    return replace(
        calibration, compliance_mm_per_n=compliance.mm_per_n, u_compliance_mm_per_n=compliance.u_mm_per_n
    )
