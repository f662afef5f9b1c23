"""A result as the result screen shows it: every text ready and clean, every curve as points.

Built in a thread of its own, since it imports the analysis and reads a file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui import wording
from tui.format import OUTCOMES, label_of, percent_chance, plain, quantity_cells
from tui.result_text import LONGEST_SENTENCE, VERDICTS
from tui.safe_text import clean
from tui.widgets.picture import Band
from tui.widgets.points import Points
from tui.widgets.verdict_card import Card

if TYPE_CHECKING:
    from pathlib import Path

    from analysis.results import PullResult, Verdict

#: Looks of the verdict card, by the colour word that the command line prints it in.
ROLES = {"good": "good", "bad": "bad", "unsure": "unsure"}

#: Quantities that stand on the result screen where there is little room, the most asked for first.
FOREMOST = ("elongation_at_break_pct", "force_max_n", "stress_at_break_mpa", "initial_modulus_gpa")


@dataclass(frozen=True, slots=True)
class Value:
    """One measured quantity in words: its name, its value and the ± behind it."""

    name: str
    label: str
    value: str
    margin: str


@dataclass(frozen=True, slots=True)
class ShownResult:
    """All that the result screen shows of one recording."""

    path: Path
    title: str
    simulated: bool
    card: Card
    values: tuple[Value, ...]
    #: Sentences about this pull: flags first, then why something was not measured.
    notes: tuple[str, ...]
    guideline_pct: float
    points: Points
    bands: tuple[Band, ...]


def shown_result(path: Path) -> ShownResult:
    """Analyse a recording for the screen. Raises what the analysis or the reader raises."""
    from tui.analysing import analyse_file

    return shown(path, analyse_file(path))


def shown(path: Path, result: PullResult) -> ShownResult:
    """A result in words."""
    from analysis.results import QUANTITIES

    cells = {name: quantity_cells(name, getattr(result, name)) for name in QUANTITIES}
    curve = result.curve
    points = Points() if curve is None else Points(curve.strain_pct.tolist(), curve.force_n.tolist())
    return ShownResult(
        path=path,
        title=clean(path.name),
        simulated=result.simulated,
        card=card_of(result),
        values=tuple(
            Value(name, label_of(name), value, margin)
            for name, (value, margin, reason) in cells.items()
            if not reason
        ),
        notes=(*_flags(result), *_reasons(cells)),
        guideline_pct=result.verdict.guideline_pct,
        points=points,
        bands=tuple(
            Band(wording.REGION_NAMES.get(region.name, region.name), region.start_pct, region.end_pct)
            for region in result.regions
        ),
    )


def card_of(result: PullResult) -> Card:
    """The verdict in a sign, words and a sentence."""
    verdict = result.verdict
    sign, words, colour = VERDICTS[verdict.verdict_class]
    guideline = plain(verdict.guideline_pct, "%", 3)
    return Card(
        sign=sign,
        words=words.format(guideline=guideline),
        role=ROLES[colour],
        sentence=clean(verdict.statement, LONGEST_SENTENCE),
        more=_more(result, verdict),
    )


def _more(result: PullResult, verdict: Verdict) -> str:
    """What happened, and the chance where there is one."""
    happened = OUTCOMES[result.outcome]
    parts = [happened[0].upper() + happened[1:]]
    if verdict.probability_meets is not None:
        parts.append(wording.RESULT_CHANCE.format(chance=percent_chance(verdict.probability_meets)))
    return "; ".join(parts) + "."


def _flags(result: PullResult) -> list[str]:
    return [clean(flag.message, LONGEST_SENTENCE) for flag in result.flags]


def _reasons(cells: dict[str, tuple[str, str, str]]) -> list[str]:
    """Each reason why something was not measured, once, after the names of what it holds for."""
    labels: dict[str, list[str]] = {}
    for name, (_, _, reason) in cells.items():
        if reason:
            labels.setdefault(reason, []).append(label_of(name))
    return [f"Not measured: {', '.join(names)}. {clean(why, LONGEST_SENTENCE)}" for why, names in labels.items()]
