"""A result as the result screen shows it: every text ready and clean, every curve as points.

Built in a thread of its own, since it imports the analysis and reads a file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui import wording
from tui.format import label_of, plain, quantity_cells
from tui.result_text import LONGEST_SENTENCE, VERDICTS, not_measured
from tui.safe_text import clean
from tui.widgets.picture import Band
from tui.widgets.points import Points
from tui.widgets.verdict_card import Card

if TYPE_CHECKING:
    from pathlib import Path

    from analysis.results import PullResult
    from recordings.format import Specimen

#: Looks of the verdict card, by the colour word that the command line prints it in.
ROLES = {"good": "good", "bad": "bad", "unsure": "unsure"}

#: Longest part of a title, such as the history [characters].
LONGEST_TITLE_PART = 40


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
    """Analyse a recording, or an imported table, for the screen. Raises what the analysis or the reader raises."""
    from tui.analysing import analyse_with_strand
    from tui.library.imports import wishes_for

    analysed = analyse_with_strand(path, wishes_for(path))
    return shown(path, analysed.result, analysed.specimen)


def shown(path: Path, result: PullResult, specimen: Specimen | None = None) -> ShownResult:
    """A result in words."""
    part = {} if result.part is None else result.part.quantities
    cells = {name: quantity_cells(name, quantity) for name, quantity in {**part, **result.quantities}.items()}
    curve = result.curve
    points = Points() if curve is None else Points(curve.strain_pct.tolist(), curve.force_n.tolist())
    return ShownResult(
        path=path,
        title=title_of(specimen, path),
        simulated=result.simulated,
        card=card_of(result),
        values=tuple(
            Value(name, label_of(name), value, margin)
            for name, (value, margin, reason) in cells.items()
            if not reason
        ),
        notes=(*_shown_besides(result), *_flags(result), *not_measured(cells)),
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
    )


def title_of(specimen: Specimen | None, path: Path) -> str:
    """Which strand it is, as far as was said; else the file's name."""
    told = [] if specimen is None else [specimen.reference, specimen.strand, specimen.zone, specimen.history]
    said = [clean(text, LONGEST_TITLE_PART) for text in told if text]
    if specimen is not None and said and specimen.condition not in specimen.history:
        said.append(clean(specimen.condition))
    return ", ".join(said) or clean(path.name)


def _shown_besides(result: PullResult) -> list[str]:
    """What the kind of pull showed, where it was not a pull to the break."""
    return [] if result.part is None else [clean(result.part.statement, LONGEST_SENTENCE)]


def _flags(result: PullResult) -> list[str]:
    return [clean(flag.message, LONGEST_SENTENCE) for flag in result.flags]
