"""The inputs of a pull's results: what each one's standard uncertainty is, and what a person can do about it.

Owns the list of inputs and the sizes that are assumed where nobody gave any. Must not know how they are combined.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.metrology.cross_section import u_area_of_one_reading
from analysis.pull.corrections import Corrected
from analysis.pull.elastic import Elastic
from analysis.pull.geometry import Geometry
from analysis.pull.measures import Deviation
from analysis.pull.screening import Signal
from analysis.pull.zero import Zero
from analysis.trace import Trace
from recordings.format import ExtensionCalibration, ForceCalibration, Specimen

#: Relative standard uncertainty of a scale that is only the board's own claim. Common practice, no source.
NOMINAL_FORCE_U = 0.03
NOMINAL_EXTENSION_U = 0.005
#: The same for another program's table: a class 1 machine's 1 %, rectangular. Common practice, no source.
TABLE_U = 0.01 / np.sqrt(3.0)
#: Share of a diameter that its standard uncertainty is where nobody gave one. Common practice, no source.
DIAMETER_U = 0.03
#: What to do about the noise of the force.
QUIETER = "shield the amplifier, average more, or pull slower"
#: What to do about what happens between two readings.
FASTER = "read the force faster or pull slower"


@dataclass(frozen=True, slots=True)
class Input:
    """One input with its deviation of one standard uncertainty, and what a person can do about it.

    `shape` is "normal" or "rectangular" (for a Monte Carlo); `dof` its degrees of freedom.
    """

    name: str
    advice: str
    off: Deviation
    shape: str = "normal"
    dof: float = np.inf


def list_inputs(
    trace: Trace,
    signal: Signal,
    shape: Geometry,
    elastic: Elastic | None,
    zero: Zero,
    curve: Corrected,
    u_onset_mm: float,
) -> tuple[Input, ...]:
    """Every input that moves a result of this pull; those without uncertainty are left out."""
    found = [
        *_specimen_inputs(trace),
        *_extension_inputs(trace),
        *_force_inputs(trace, signal),
        *_reading_inputs(shape, elastic, zero, u_position_mm(trace)),
        *_end_inputs(curve),
        Input("onset between two readings", FASTER, Deviation(onset_mm=u_onset_mm), "rectangular"),
    ]
    return tuple(one for one in found if any(getattr(one.off, name) for name in Deviation.__slots__))


def _end_inputs(curve: Corrected) -> list[Input]:
    """What is unsure about where the strand broke moves the force there along the curve."""
    later = curve.top.slope * curve.u_break_mm
    at_end = Deviation(end_mm=curve.u_break_mm, end_n=later, peak_n=later if curve.top.peak_at_end else 0.0)
    slipped = Deviation(end_mm=curve.u_slip_mm)
    return [
        Input("break position", FASTER, at_end, "rectangular"),
        Input(
            "amplifier lag", "read the force faster or pull slower", Deviation(lag_mm=curve.u_lag_mm), "rectangular"
        ),
        Input("slip before the break", "clean or tighten the clamps", slipped, "rectangular"),
        Input("noise at the end", QUIETER, Deviation(peak_n=curve.top.u_peak_n, end_n=curve.top.u_end_n)),
    ]


def _specimen_inputs(trace: Trace) -> list[Input]:
    specimen = trace.specimen
    if specimen is None:
        return []
    u_tex = 0.0
    if specimen.linear_density_tex:
        u_tex = (specimen.u_linear_density_tex or 0.0) / specimen.linear_density_tex
    return [
        Input(
            "gauge length",
            "measure the distance between the clamps better, or use a longer strand",
            Deviation(gauge_mm=specimen.u_gauge_length_mm),
        ),
        Input(
            "cross-section",
            "measure the diameter at more places and on two axes",
            Deviation(area=_u_area_rel(specimen)),
        ),
        Input("linear density", "weigh a longer strand, or several together", Deviation(linear_density=u_tex)),
    ]


def _u_area_rel(specimen: Specimen) -> float:
    """Relative standard uncertainty of the cross-section.

    A diameter that nobody gave an uncertainty is one reading of a strand that is really an ellipse, on either axis.
    """
    if specimen.area_um2:
        return (specimen.u_area_um2 or 2.0 * DIAMETER_U * specimen.area_um2) / specimen.area_um2
    if not specimen.diameter_um:
        return 0.0
    if specimen.u_diameter_um:
        return 2.0 * specimen.u_diameter_um / specimen.diameter_um
    return u_area_of_one_reading(DIAMETER_U)


def u_position_mm(trace: Trace) -> float:
    """Standard uncertainty of a place of the stage that does not grow with the way [mm]."""
    cal = trace.extension_calibration
    grain = (trace.extension_resolution_mm or 0.0) / np.sqrt(12.0)
    return float(np.hypot(cal.u_mm if cal else 0.0, grain))


def _extension_inputs(trace: Trace) -> list[Input]:
    cal = trace.extension_calibration or ExtensionCalibration(1.0, u_rel=float(TABLE_U))
    u_rel = cal.u_rel
    if cal.kind == "nominal" and trace.counts is not None:
        u_rel = max(u_rel, NOMINAL_EXTENSION_U)
    u_mm = float(np.sqrt(2.0)) * u_position_mm(trace)
    return [
        Input(
            "extension scale",
            "calibrate the stage with a gauge block or a dial gauge",
            Deviation(extension_scale=u_rel),
        ),
        Input("stage position", "take out backlash; use a finer screw or micro-steps", Deviation(position_mm=u_mm)),
        Input(
            "give of the rig",
            "measure the rig's compliance with a stiff specimen",
            Deviation(compliance_mm_per_n=cal.u_compliance_mm_per_n),
        ),
    ]


def _force_inputs(trace: Trace, signal: Signal) -> list[Input]:
    if not signal.in_newtons:
        return []
    cal = trace.force_calibration or ForceCalibration(1.0, u_rel=float(TABLE_U), kind="printed")
    u_rel = max(cal.u_rel, NOMINAL_FORCE_U) if cal.kind == "nominal" and trace.counts is not None else cal.u_rel
    first, second = _fit_deviations(cal)
    advice = "calibrate the force with more masses, spread over the range"
    return [
        Input("force scale", "use better masses and the local gravity", Deviation(force_scale=u_rel)),
        Input("force calibration fit, slope", advice, first),
        Input("force calibration fit, curvature", advice, second),
    ]


def _fit_deviations(cal: ForceCalibration) -> tuple[Deviation, Deviation]:
    """The two coefficients' covariance as two independent deviations (its Cholesky factor)."""
    n = cal.n_per_count
    if not n:
        return Deviation(), Deviation()
    along = cal.u_n_per_count
    across = cal.cov / along if along else 0.0
    rest = float(np.sqrt(max(cal.u_n_per_count2**2 - across**2, 0.0)))
    return (
        Deviation(force_scale=along / n, force_curvature=across / (n * n)),
        Deviation(force_curvature=rest / (n * n)),
    )


def _reading_inputs(shape: Geometry, elastic: Elastic | None, zero: Zero, u_x: float) -> list[Input]:
    found = [
        Input("zero of force", "zero before the pretension, let the amplifier warm up", Deviation(zero_n=zero.u)),
        Input(
            "wander of the zero",
            "let the amplifier warm up; don't knock the cell",
            Deviation(wander_n=abs(zero.drift)),
        ),
        Input("readings off the curve", QUIETER, Deviation(reading=1.0)),
    ]
    if elastic is not None:
        found += _first_part_inputs(shape, elastic, u_x)
        found += _bend_inputs(elastic)
    return found


def _first_part_inputs(shape: Geometry, elastic: Elastic, u_x: float) -> list[Input]:
    """Height and slope of the first line move the onset, the modulus and the first bend together."""
    first, second = elastic.first, elastic.second
    k, mean = first.line.slope, first.line.mean_x
    turn = k - second.line.slope if second is not None else np.inf
    flat = second.line.slope if second is not None else 0.0
    bend = elastic.bends_mm[0] if elastic.bends_mm else mean
    free = 1.0 if shape.onset_from_line else 0.0

    def tilted(u: float) -> Deviation:
        moved = -(bend - mean) * u / turn
        return Deviation(
            onset_mm=free * (mean - shape.onset_mm) * u / k, slope=u / k, bend_mm=moved, bend_n=flat * moved
        )

    bent = k * float(np.sqrt(2.0)) * u_x / (first.to_mm - first.from_mm)
    lifted = -first.u_height / turn
    level = Deviation(onset_mm=-free * first.u_height / k, bend_mm=lifted, bend_n=flat * lifted)
    return [
        Input("level of the straight part", QUIETER, level, dof=first.line.n - 2),
        Input("slope of the straight part", QUIETER, tilted(first.u_slope), dof=first.line.n - 2),
        Input("stage position in the straight part", "take out backlash; use a longer strand", tilted(bent)),
        Input(
            "curvature of the straight part",
            "nothing: the strand is not quite straight there",
            tilted(first.u_curve),
        ),
    ]


def _bend_inputs(elastic: Elastic) -> list[Input]:
    """Height of the second line at the first bend, of the second and third line at the second."""
    found: list[Input] = []
    if elastic.second is not None and elastic.bends_mm:
        u, k = elastic.second.u_at(elastic.bends_mm[0]), elastic.first.line.slope
        turn = k - elastic.second.line.slope
        found.append(Input("line of the yield region", QUIETER, Deviation(bend_mm=u / turn, bend_n=u * k / turn)))
        flat = float(np.hypot(elastic.second.u_slope, elastic.second.u_curve))
        found.append(Input("slope of the yield region", QUIETER, Deviation(second_slope=flat)))
    if elastic.second is not None and elastic.third is not None and len(elastic.bends_mm) > 1:
        at = elastic.bends_mm[1]
        u = float(np.hypot(elastic.second.u_at(at), elastic.third.u_at(at)))
        turn = elastic.third.line.slope - elastic.second.line.slope
        found.append(Input("line of the post-yield region", QUIETER, Deviation(second_bend_mm=u / turn)))
        steep = float(np.hypot(elastic.third.u_slope, elastic.third.u_curve))
        found.append(Input("slope of the post-yield region", QUIETER, Deviation(third_slope=steep)))
    return found
