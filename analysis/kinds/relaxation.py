"""A strand held at one length: how its force relaxes, with the law that fits, its half-time and what is left.

Owns which readings are the hold and what is said of it. The laws are in `decay`.

Time counts from the first reading at the held length. What relaxed while the strand was still being stretched is
not part of it: with another rate of stretching the same strand gives another first force.
"""

from __future__ import annotations

import numpy as np

from analysis.kinds.decay import STRETCHED, Decay, fit_decay
from analysis.kinds.phases import Phased, rows_of
from analysis.kinds.result import KindLine, KindResult
from analysis.pull.screening import screen
from analysis.results import Measured, NotMeasured, Quantity
from analysis.study import Study
from analysis.trace import FloatArray
from analysis.words import short, with_uncertainty

KIND = "hold"
QUANTITIES = (
    "strain_reached_pct",
    "force_at_start_n",
    "force_at_end_n",
    "force_lost_pct",
    "half_time_s",
    "time_constant_s",
    "exponent",
    "force_left_n",
)
PERCENT = 100.0
#: Readings of the first moment are left out: the stage slows down, and the amplifier follows late [s].
SETTLE_S = 0.3
#: Readings whose mean is the force at the end of the hold.
END_READINGS = 40
LEAST_READINGS = 20
#: As the force falls, the rig gives back and stretches the strand on. A stretch by this much starts a relaxation
#: anew (assumed: a quarter of the strain at which keratin yields), so a smaller one changes its times by a share.
RENEWING_STRAIN = 0.005
#: The hold begins within so many readings of the first one at the held length: the amplifier follows late.
START_READINGS = 2.0


def relaxation_of(found: Phased, study: Study) -> KindResult:
    """What a hold shows: `found` the recording in its parts, `study` its first stretch taken apart."""
    values: dict[str, Quantity] = {}
    reached = study.measured.values.get("elongation_at_break_pct")
    values["strain_reached_pct"] = reached or NotMeasured("the gauge length is not known: give it")
    held = _held(found, study)
    if isinstance(held, NotMeasured):
        return _result(values, held, None)
    time_s, force_n = held
    late = time_s >= SETTLE_S
    zero = study.zero.u if found.slack_after else study.loading.noise + study.zero.u
    step_s = float(time_s[-1]) / time_s.size
    decay = fit_decay(
        time_s[late],
        force_n[late],
        u_drift_n=zero,
        u_start_s=START_READINGS * step_s / float(np.sqrt(3.0)),
        u_share=_given_back(study, force_n) / RENEWING_STRAIN / float(np.sqrt(3.0)),
    )
    return _result(values | _figures(study, time_s, force_n, decay), decay, KindLine("hold", time_s, force_n))


def _held(found: Phased, study: Study) -> tuple[FloatArray, FloatArray] | NotMeasured:
    """Time since the stage stood [s] and force [N] of the hold's readings."""
    part, stretch = found.part("hold"), found.part("stretch")
    if part is None or stretch is None:
        return NotMeasured("the pull ended before the strand was held: pull another strand")
    if not study.loading.in_newtons or found.trace.time_s is None or found.trace.extension_mm is None:
        return NotMeasured("the force is in counts only: calibrate the force with weights")
    x = np.abs(found.trace.extension_mm - found.trace.extension_mm[0])
    start = int(np.argmax(x[: part.stop]))
    signal = screen(rows_of(found.trace, start, part.stop))
    if isinstance(signal, str) or signal.spoilt or signal.time_s is None:
        return NotMeasured("the readings of the hold can't be used: check the wiring of the force cell")
    time_s = signal.time_s - found.trace.time_s[start]
    good = ~signal.saturated & (time_s > 0.0)
    if int(good.sum()) < LEAST_READINGS:
        return NotMeasured(f"only {int(good.sum())} readings in the hold: hold longer, or read the force faster")
    return np.asarray(time_s[good]), np.asarray(signal.force[good])


def _given_back(study: Study, force_n: FloatArray) -> float:
    """Strain by which the rig stretched the strand on while its force fell."""
    cal, gauge = study.trace.extension_calibration, study.specimen.gauge_mm
    if cal is None or gauge is None:
        return 0.0
    give = cal.compliance_mm_per_n + cal.u_compliance_mm_per_n
    return give * float(np.ptp(force_n)) / gauge


def _figures(
    study: Study, time_s: FloatArray, force_n: FloatArray, decay: Decay | NotMeasured
) -> dict[str, Quantity]:
    """Forces at both ends, what was lost between them, and what the law says."""
    last = force_n[-min(END_READINGS, force_n.size // 2) :]
    end = float(last.mean())
    scale = study.measured.values["force_at_break_n"].u / max(study.shape.end.n, 1e-12)
    noise = study.loading.noise / float(np.sqrt(last.size))
    out: dict[str, Quantity] = {"force_at_end_n": Measured(end, float(np.hypot(scale * end, noise)))}
    if isinstance(decay, NotMeasured):
        return out
    start = decay.start_n
    lost = 1.0 - end / start.value
    u_lost = float(np.hypot(start.u * end / start.value, np.hypot(noise, study.zero.u)) / start.value)
    out["force_at_start_n"] = Measured(start.value, float(np.hypot(start.u, scale * start.value)))
    out["force_lost_pct"] = Measured(PERCENT * lost, PERCENT * u_lost)
    return out | _of_law(decay, float(time_s[-1]), scale)


def _of_law(decay: Decay, held_s: float, scale: float) -> dict[str, Quantity]:
    """The parameters, where the hold was long enough to show them rather than to guess them."""
    half = decay.half_time_s
    if half.value > held_s or half.u > half.value / 2.0:
        text = f"in {held_s:.0f} s the force had not lost half of what it will lose"
        reason = NotMeasured(f"{text}: hold for longer, several times as long as the force takes to fall by half")
        return dict.fromkeys(("half_time_s", "time_constant_s", "exponent", "force_left_n"), reason)
    left = decay.left_n
    plain = NotMeasured("the plain exponential describes the readings: it has no exponent")
    return {
        "half_time_s": half,
        "time_constant_s": decay.time_constant_s,
        "exponent": decay.exponent or plain,
        "force_left_n": Measured(left.value, float(np.hypot(left.u, scale * left.value))),
    }


def _result(values: dict[str, Quantity], decay: Decay | NotMeasured, readings: KindLine | None) -> KindResult:
    reason = decay if isinstance(decay, NotMeasured) else NotMeasured("the hold does not show it")
    quantities = {name: values.get(name, reason) for name in QUANTITIES}
    lines: tuple[KindLine, ...] = () if readings is None else (readings,)
    if isinstance(decay, Decay) and readings is not None:
        lines = (readings, KindLine(decay.law, readings.x, decay.at(readings.x)))
    law = None if isinstance(decay, NotMeasured) else decay.law
    return KindResult(KIND, _statement(quantities, law), quantities, {"law": law}, lines)


def _statement(quantities: dict[str, Quantity], law: str | None) -> str:
    lost, half, held = quantities["force_lost_pct"], quantities["half_time_s"], quantities["strain_reached_pct"]
    at = f"Held at {short(held.value)} % stretch" if isinstance(held, Measured) else "Held"
    if not isinstance(lost, Measured):
        return f"{at}: how the force relaxed was not measured: {_why(lost)}."
    said = f"{at}, the strand lost {with_uncertainty(lost.value, lost.u, '%')} of its force"
    if not isinstance(half, Measured):
        return f"{said}. The half-time was not measured: {_why(half)}."
    a = "a stretched exponential" if law == STRETCHED else "a plain exponential"
    gone = with_uncertainty(half.value, half.u, "s")
    return f"{said}; half of what it loses in the end was gone after {gone} ({a})."


def _why(quantity: Quantity) -> str:
    return quantity.reason if isinstance(quantity, NotMeasured) else ""
