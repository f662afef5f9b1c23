"""What a person said of a strand, as typed, and the specimen it makes. Knows no widgets."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui import wording

if TYPE_CHECKING:
    from recordings.format import Method, Specimen

#: How the recording names each kind of pull that can be chosen.
METHOD_KINDS = dict(zip(wording.STRAND_KINDS, ("pull_to_break", "proof", "stretch_return", "hold"), strict=True))

#: Gauge length offered at first [mm].
USUAL_GAUGE_LENGTH = "30"

#: Longest reference code and history taken [characters].
LONGEST = 60


@dataclass(frozen=True, slots=True)
class StrandForm:
    """The answers, as text."""

    reference: str = ""
    zone: str = wording.NOT_SAID
    history: str = ""
    condition: str = wording.STRAND_CONDITIONS[0]
    gauge_length: str = USUAL_GAUGE_LENGTH
    diameter: str = ""
    kind: str = wording.STRAND_KINDS[0]


def number(text: str) -> float | None:
    """A number as people type it, with a point or a comma; None where it is none."""
    plain = text.strip().replace(",", ".")
    if "_" in plain:
        return None
    try:
        value = float(plain)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def gauge_length_problem(text: str) -> str:
    """What is wrong with a gauge length, "" where nothing is."""
    value = number(text)
    if value is None:
        return wording.NUMBER_WANTED.format(example=USUAL_GAUGE_LENGTH)
    return _problem(gauge_length_mm=value)


def diameter_problem(text: str) -> str:
    """What is wrong with a diameter, "" where nothing is; it may be left out."""
    if not text.strip():
        return ""
    value = number(text)
    if value is None:
        return wording.NUMBER_WANTED.format(example="70")
    return _problem(gauge_length_mm=float(USUAL_GAUGE_LENGTH), diameter_um=value)


def text_problem(text: str) -> str:
    """What is wrong with a code or a history."""
    return wording.TEXT_TOO_LONG.format(longest=LONGEST) if len(text) > LONGEST else ""


def _problem(*, gauge_length_mm: float, diameter_um: float | None = None) -> str:
    """What the rig's own rules say."""
    from recordings.format import Specimen
    from rig.errors import BadPlan
    from rig.specimen_rules import check_specimen

    try:
        check_specimen(Specimen(gauge_length_mm=gauge_length_mm, diameter_um=diameter_um))
    except BadPlan as problem:
        return str(problem)
    return ""


def specimen_of(form: StrandForm) -> Specimen:
    """The specimen; the form's numbers have been judged already."""
    from recordings.format import Specimen
    from tui.safe_text import clean

    gauge_length_mm = number(form.gauge_length)
    assert gauge_length_mm is not None
    return Specimen(
        gauge_length_mm=gauge_length_mm,
        reference=clean(form.reference, LONGEST),
        zone="" if form.zone == wording.NOT_SAID else form.zone,
        history=clean(form.history, LONGEST),
        condition="" if form.condition == wording.NOT_SAID else form.condition,
        diameter_um=number(form.diameter) if form.diameter.strip() else None,
    )


def method_of(form: StrandForm) -> Method:
    """How the strand is pulled: the kind that was chosen, with everything else as usual."""
    from recordings.format import Method

    return Method(kind=METHOD_KINDS[form.kind])
