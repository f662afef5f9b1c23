"""Stretch and return: does the strand come back, how far, how much of it only with time, and how much work stays.

Owns the definitions. Must not know how the branches were read (`branches`).

Definitions (as in Morton and Hearle, Physical Properties of Textile Fibres, on elastic recovery; from memory)
    strain reached        e, the furthest strain of the first stretch
    set                   strain at which the force is zero: on the way back (at once), and where it rises again in
                          the second stretch (after the rest); of the length at the first onset, g + s
    elastic recovery      1 - set / e, at once and after the rest; the delayed part is their difference
    work lost             1 - work given back on the way back / work done in the stretch (hysteresis), the hold
                          between them included

What is left after a rest of minutes is not all permanent: keratin strained within its yield region recovers wholly
overnight in water (Feughelman, J. Soc. Cosmet. Chem. 33 (1982) 396).
"""

from __future__ import annotations

import numpy as np

from analysis.kinds.branches import Branch, Place, branch_of, slack_point, taut_point
from analysis.kinds.loop import loop_values
from analysis.kinds.phases import Phased
from analysis.kinds.result import KindLine, KindResult
from analysis.results import Measured, NotMeasured, Quantity
from analysis.study import Study
from analysis.words import short, with_uncertainty

KIND = "stretch_return"
QUANTITIES = (
    "strain_reached_pct",
    "force_reached_n",
    "force_after_hold_n",
    "set_at_once_pct",
    "set_after_rest_pct",
    "recovery_at_once_pct",
    "recovery_after_rest_pct",
    "recovery_delayed_pct",
    "work_done_uj",
    "work_given_back_uj",
    "work_lost_pct",
)
PERCENT = 100.0
#: Readings whose mean is the force just before the way back.
HELD_READINGS = 5


def recovery_of(found: Phased, study: Study, *, give: bool) -> KindResult:
    """What a stretch and return shows.

    Parameters
    ----------
    found
        The recording in its parts.
    study
        The first stretch, taken apart as a pull of its own (`phases.stretch_of`).
    give
        Whether the rig's own give is taken out.
    """
    back, again = _branch(found, "return", study, give), _branch(found, "stretch_again", study, give)
    slack, taut = _slack(found, back), _taut(found, again, study)
    values = _values(found, study, back, slack, taut)
    reasons = _reasons(found, study, back, slack, taut)
    quantities: dict[str, Quantity] = {
        name: values[name] if name in values else NotMeasured(reasons[name]) for name in QUANTITIES
    }
    method = found.trace.method
    facts: dict[str, str | float | None] = {
        "hold_s": None if method is None else method.hold_s,
        "rest_s": None if method is None else method.rest_s,
    }
    return KindResult(KIND, _statement(quantities, facts), quantities, facts, _lines(study, back, again))


def _branch(found: Phased, name: str, study: Study, give: bool) -> Branch | NotMeasured:
    part = found.part(name)
    if part is None:
        return NotMeasured(_not_reached(found, name))
    return branch_of(found, part, study, give=give)


def _not_reached(found: Phased, name: str) -> str:
    last = found.parts[-1].name.replace("_", " ")
    return f"the pull ended in the phase {last!r}, before the phase {name.replace('_', ' ')!r}"


def _slack(found: Phased, back: Branch | NotMeasured) -> Place | NotMeasured:
    if isinstance(back, NotMeasured):
        return back
    return slack_point(back) if found.slack_after else NotMeasured(found.why_not_slack)


def _taut(found: Phased, again: Branch | NotMeasured, study: Study) -> Place | NotMeasured:
    if isinstance(again, NotMeasured):
        return again
    return taut_point(again, study.shape.end.n) if found.slack_after else NotMeasured(found.why_not_slack)


def _values(
    found: Phased,
    study: Study,
    back: Branch | NotMeasured,
    slack: Place | NotMeasured,
    taut: Place | NotMeasured,
) -> dict[str, Measured]:
    """Every quantity that the places and the study allow."""
    values = {}
    if "elongation_at_break_pct" in study.measured.values:
        values["strain_reached_pct"] = study.measured.values["elongation_at_break_pct"]
    if study.loading.in_newtons:
        values["force_reached_n"] = study.measured.values["force_at_break_n"]
        if isinstance(back, Branch):
            values["force_after_hold_n"] = _held(found, study, back)
    return values | loop_values(study, back, slack, taut)


def _held(found: Phased, study: Study, back: Branch) -> Measured:
    """Force at the end of the hold; without one, the reading from which the way back begins."""
    hold = found.part("hold")
    held = None if hold is None else found.signal(hold)
    top = back.force[-1:] if held is None else held.force[-HELD_READINGS:]
    scale = study.measured.values["force_at_break_n"].u / max(study.shape.end.n, 1e-12)
    return Measured(float(top.mean()), float(np.hypot(scale * top.mean(), back.noise / np.sqrt(top.size))))


def _reasons(
    found: Phased,
    study: Study,
    back: Branch | NotMeasured,
    slack: Place | NotMeasured,
    taut: Place | NotMeasured,
) -> dict[str, str]:
    """For each quantity the first reason that holds against it, should it have no value."""
    general = "the gauge length or the force calibration is not known"
    on_return = slack.reason if isinstance(slack, NotMeasured) else general
    after_rest = taut.reason if isinstance(taut, NotMeasured) else general
    held = back.reason if isinstance(back, NotMeasured) else general
    reasons = dict.fromkeys(QUANTITIES, general)
    for name in ("set_at_once_pct", "recovery_at_once_pct", "work_given_back_uj", "work_lost_pct"):
        reasons[name] = on_return
    for name in ("set_after_rest_pct", "recovery_after_rest_pct"):
        reasons[name] = after_rest
    reasons["recovery_delayed_pct"] = on_return if isinstance(slack, NotMeasured) else after_rest
    reasons["force_after_hold_n"] = held
    return reasons


def _statement(quantities: dict[str, Quantity], facts: dict[str, str | float | None]) -> str:
    reached, at_once = quantities["strain_reached_pct"], quantities["recovery_at_once_pct"]
    rested, left = quantities["recovery_after_rest_pct"], quantities["set_after_rest_pct"]
    if not isinstance(reached, Measured):
        return f"How far the strand came back was not measured: {reached.reason}."
    told = [f"Stretched by {with_uncertainty(reached.value, reached.u, '%')}"]
    if isinstance(at_once, Measured):
        told.append(f"the strand came back by {with_uncertainty(at_once.value, at_once.u, '%')} of that at once")
    else:
        told.append(f"what it came back by at once was not measured ({at_once.reason})")
    if isinstance(rested, Measured) and isinstance(left, Measured):
        rest = facts["rest_s"]
        waited = f"after {short(rest)} s of rest" if isinstance(rest, int | float) else "after the rest"
        told.append(f"and by {with_uncertainty(rested.value, rested.u, '%')} {waited}")
        told.append(f"{with_uncertainty(left.value, left.u, '%')} of its length had not come back then")
    return ", ".join(told[:3]) + (f"; {told[3]}." if len(told) > 3 else ".")


def _lines(study: Study, back: Branch | NotMeasured, again: Branch | NotMeasured) -> tuple[KindLine, ...]:
    """Force over strain: stretch, way back, second stretch, as far as they are known."""
    gauge = study.specimen.gauge_mm
    if gauge is None or not study.loading.in_newtons:
        return ()
    onset = study.shape.onset_mm

    def strain(x: np.ndarray) -> np.ndarray:
        return np.asarray(PERCENT * (x - onset) / (gauge + onset))

    lines = [KindLine("stretch", strain(study.curve.x), study.curve.force)]
    for name, branch in (("way back", back), ("second stretch", again)):
        if isinstance(branch, Branch):
            lines.append(KindLine(name, strain(branch.x), branch.force))
    return tuple(lines)
