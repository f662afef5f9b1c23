"""The same strand before and after a treatment: how much of the work to 20 % strain is left.

Owns the definition, and what two recordings must be to be compared so.

Definition
----------
    W20 = integral of F de from 0 to 0.20,   ratio = W20 after / W20 before

with F the force and e the strain of each pull, from its own onset over its own length at the onset (gauge length
plus slack). It is the work to 20 % strain for each millimetre of the strand. Both pulls are of one strand, so its
cross-section cancels and need not be known; swelling by the treatment counts as part of the change.

What it is not: the trade's guideline (elongation at break of 20 %) shares only the number. The literature also has
the force at 15 % or at 20 % strain before and after (given here as well, for 15 %), and a "20 % index" of fibres
stretched in water at a fixed temperature, which is another test. The index need not fall with every further
treatment: after one, two and three permanent waves 68, 46 and 61 % were left (J. Soc. Cosmet. Chem. 44 (1993) 362,
table VI).

A strand can be compared with itself only where the first pull left it whole and within the yield region: strained
no further than that it recovers in water overnight (Feughelman, J. Soc. Cosmet. Chem. 33 (1982) 396).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial
from typing import Any

from analysis.details import propagate_details
from analysis.errors import InputError
from analysis.kinds.phases import KINDS, phased, stretch_of
from analysis.kinds.result import KindLine
from analysis.pull.measures import Specimen, evaluate
from analysis.pull.uncertainty import Propagated, propagate
from analysis.results import Flag, Measured, NotMeasured, Quantity
from analysis.study import Options, Study, Unusable, study_pull
from analysis.trace import Trace
from analysis.words import with_uncertainty

KIND = "before_after"
#: A strand strained further than this is damaged for good, and no longer its own control [%].
RECOVERABLE_PCT = 30.0
PERCENT = 100.0
#: Inputs of a pull that are the same error in both, where both were made with the same calibration.
FORCE_INPUTS = ("force scale", "force calibration fit, slope", "force calibration fit, curvature")
EXTENSION_INPUTS = ("extension scale", "give of the rig")
#: The input that cancels, both pulls being of one strand.
AREA_INPUT = "cross-section"
WORK, FORCE = "work_to_20pct_mj_m3", "force_at_15pct_n"
#: With a cross-section of 1 um2 the work per volume [MJ/m3] is this many times the work per length [uJ/mm].
UJ_PER_MM = 1e-3

NOT_REACHED = "the pull {which} the treatment did not reach {strain} % strain: stretch the strand to 20 %"


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """One strand before and after. Ratios are in percent of the value before."""

    before: str
    after: str
    simulated: bool
    work_to_20pct_left_pct: Quantity
    force_at_15pct_left_pct: Quantity
    work_to_20pct_before_uj_per_mm: Quantity
    work_to_20pct_after_uj_per_mm: Quantity
    statement: str
    flags: tuple[Flag, ...]
    #: Force [N] over strain [%] of both, for a figure.
    lines: tuple[KindLine, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """As `--json` prints it."""
        names = [name for name in self.__slots__ if name.endswith(("_pct", "_mm"))]
        return {
            "kind": KIND,
            "before": self.before,
            "after": self.after,
            "simulated": self.simulated,
            **{name: getattr(self, name).to_json() for name in names},
            "statement": self.statement,
            "flags": [{"code": flag.code, "message": flag.message} for flag in self.flags],
        }


def compare_before_after(before: Trace, after: Trace, options: Options | None = None) -> BeforeAfter:
    """Compare two pulls of one strand.

    Raises InputError, with a sentence for a person, where they are not of one strand in one condition, in that
    order, or where the first pull did not leave the strand whole and recoverable.
    """
    _check_same(before, after)
    first, second = (_study(trace, which, options) for trace, which in ((before, "before"), (after, "after")))
    _check_whole(first)
    works = tuple(_work(study) for study in (first, second))
    left = _left(WORK, works, first, second)
    return BeforeAfter(
        before=before.name,
        after=after.name,
        simulated=before.simulated or after.simulated,
        work_to_20pct_left_pct=left,
        force_at_15pct_left_pct=_left(FORCE, tuple(map(propagate_details, (first, second))), first, second),
        work_to_20pct_before_uj_per_mm=_per_mm(works[0], "before"),
        work_to_20pct_after_uj_per_mm=_per_mm(works[1], "after"),
        statement=_statement(left),
        flags=_flags(before, after, first, second),
        lines=tuple(_line(name, study) for name, study in (("before", first), ("after", second))),
    )


def _check_same(before: Trace, after: Trace) -> None:
    one, other = before.specimen, after.specimen
    if one is None or other is None:
        raise InputError("a pull without a description of its strand can't be compared before and after")
    for what in ("reference", "strand"):
        a, b = getattr(one, what), getattr(other, what)
        if a != b:
            raise InputError(
                f"the two recordings are not of one strand (its {what} is {a!r} before and {b!r} after): name two "
                "recordings of the same strand, or compare groups of strands"
            )
    if one.condition != other.condition:
        said = tuple(specimen.condition or "neither dry nor wet by its recording" for specimen in (one, other))
        raise InputError(
            f"the strand was {said[0]} before and {said[1]} after: pull it both times dry or both times wet, since "
            "water alone changes it more than many treatments"
        )
    if before.date and after.date and after.date < before.date:
        raise InputError(f"the pull named as after ({after.date}) is older than the one before ({before.date})")


def _study(trace: Trace, which: str, options: Options | None) -> Study:
    kind = "" if trace.method is None else trace.method.kind
    found = phased(trace) if kind in KINDS else None
    usable = found is not None and found.parts and trace.end_reason != "break"
    study = study_pull(stretch_of(found) if found is not None and usable else trace, options)
    if isinstance(study, Unusable):
        raise InputError(f"the pull {which} the treatment can't be used: {study.reason}")
    if not study.loading.in_newtons or study.specimen.gauge_mm is None:
        raise InputError(f"the pull {which} the treatment has no force in newtons or no gauge length")
    return study


def _check_whole(study: Study) -> None:
    reached = study.measured.values["elongation_at_break_pct"].value
    if study.outcome not in ("no_break", "stopped"):
        raise InputError(
            "the strand did not come whole out of the pull before the treatment: it is no longer the same"
        )
    if reached > RECOVERABLE_PCT:
        raise InputError(
            f"the strand was stretched by {reached:.1f} % before the treatment, and beyond "
            f"{RECOVERABLE_PCT:.0f} % it is damaged by that alone: stretch it to 20 %"
        )


def _work(study: Study) -> Propagated:
    """Work to 20 % with every input carried, per length: the cross-section taken as 1."""
    return propagate(partial(evaluate, study.shape, Specimen(study.specimen.gauge_mm, 1.0)), study.inputs)


def _per_mm(work: Propagated, which: str) -> Quantity:
    if WORK not in work.values:
        return NotMeasured(NOT_REACHED.format(which=which, strain=20))
    shares = [share for name, share in work.parts[WORK].items() if name != AREA_INPUT]
    value = work.values[WORK].value
    return Measured(UJ_PER_MM * value, UJ_PER_MM * math.hypot(*shares))


def _left(name: str, pulls: tuple[Propagated, ...], first: Study, second: Study) -> Quantity:
    """Percent of a quantity that is left, with what is common to both pulls taken out of its uncertainty."""
    for pull, which in zip(pulls, ("before", "after"), strict=True):
        if name not in pull.values:
            return NotMeasured(NOT_REACHED.format(which=which, strain=20 if name == WORK else 15))
    before, after = (_shares(name, pull) for pull in pulls)
    common = _common(first.trace, second.trace)
    squares = 0.0
    for part in {*before, *after} - {AREA_INPUT}:
        a, b = before.get(part, 0.0), after.get(part, 0.0)
        squares += (b - a) ** 2 if part in common else a * a + b * b
    left = pulls[1].values[name].value / pulls[0].values[name].value
    return Measured(PERCENT * left, PERCENT * left * math.sqrt(squares))


def _shares(name: str, pull: Propagated) -> dict[str, float]:
    value = pull.values[name].value
    return {part: share / value for part, share in pull.parts[name].items()}


def _common(before: Trace, after: Trace) -> frozenset[str]:
    common: tuple[str, ...] = ()
    if before.force_calibration is not None and before.force_calibration == after.force_calibration:
        common += FORCE_INPUTS
    if before.extension_calibration is not None and before.extension_calibration == after.extension_calibration:
        common += EXTENSION_INPUTS
    return frozenset(common)


def _statement(left: Quantity) -> str:
    if isinstance(left, NotMeasured):
        return f"How much the treatment changed the strand was not measured: {left.reason}."
    share = with_uncertainty(left.value, left.u, "%")
    return (
        f"After the treatment the same strand took {share} of the work that it had taken before, each time to 20 % "
        "strain. That strain is a fixed place on the curve, not the guideline for how far a strand should stretch; "
        "the number says what changed, not whether the treatment should be done."
    )


def _flags(before: Trace, after: Trace, first: Study, second: Study) -> tuple[Flag, ...]:
    found = [
        Flag(flag.code, f"{when}: {flag.message}")
        for when, study in (("Before", first), ("After", second))
        for flag in study.flags
    ]
    if before.date and before.date == after.date:
        text = (
            "Both pulls are of one day: a stretched strand needs a night in water to recover from the first pull."
        )
        found.append(Flag("not_rested", text))
    return tuple(found)


def _line(name: str, study: Study) -> KindLine:
    gauge, onset = study.specimen.gauge_mm or 1.0, study.shape.onset_mm
    return KindLine(name, PERCENT * (study.curve.x - onset) / (gauge + onset), study.curve.force)
