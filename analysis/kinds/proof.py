"""A proof: the strand was stretched to the guideline and no further, and is kept. What it carried there.

Owns what is said of it. Its verdict is that of every strand that did not break: it stretched at least so far.
"""

from __future__ import annotations

from analysis.kinds.branches import Branch, branch_of
from analysis.kinds.phases import Phased
from analysis.kinds.result import KindLine, KindResult
from analysis.results import Measured, NotMeasured, Quantity
from analysis.study import Study
from analysis.words import short, with_uncertainty

KIND = "proof"
QUANTITIES = ("strain_reached_pct", "force_reached_n", "work_done_uj")
PERCENT = 100.0


def proof_of(found: Phased, study: Study, *, give: bool) -> KindResult:
    """What a proof shows: `found` the recording in its parts, `study` its stretch taken apart."""
    values = study.measured.values
    sources = {
        "strain_reached_pct": "elongation_at_break_pct",
        "force_reached_n": "force_at_break_n",
        "work_done_uj": "work_to_break_uj",
    }
    unknown = NotMeasured("the gauge length or the force calibration is not known")
    quantities: dict[str, Quantity] = {name: values.get(source, unknown) for name, source in sources.items()}
    if not study.loading.in_newtons:
        quantities |= {"force_reached_n": unknown, "work_done_uj": unknown}
    return KindResult(KIND, _statement(quantities), quantities, {}, _lines(found, study, give))


def _statement(quantities: dict[str, Quantity]) -> str:
    reached, force = quantities["strain_reached_pct"], quantities["force_reached_n"]
    if not isinstance(reached, Measured):
        return "How far the strand stretched was not measured."
    carried = f", carrying {short(force.value)} N" if isinstance(force, Measured) else ""
    return (
        f"The strand stretched at least {with_uncertainty(reached.value, reached.u, '%')}{carried}, and did not "
        "break: it was let back and can be used again."
    )


def _lines(found: Phased, study: Study, give: bool) -> tuple[KindLine, ...]:
    gauge, part = study.specimen.gauge_mm, found.part("return")
    if gauge is None or not study.loading.in_newtons:
        return ()
    onset = study.shape.onset_mm
    lines = [KindLine("stretch", PERCENT * (study.curve.x - onset) / (gauge + onset), study.curve.force)]
    back = None if part is None else branch_of(found, part, study, give=give)
    if isinstance(back, Branch):
        lines.append(KindLine("way back", PERCENT * (back.x - onset) / (gauge + onset), back.force))
    return tuple(lines)
