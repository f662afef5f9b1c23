"""What is played to a class: curves over stretch, each of one strand or of a group's middle with its spread.

Built from recordings, in a thread of its own, since it imports the analysis. Knows no widgets.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING

from tui import wording_lesson as wording
from tui.safe_text import clean
from tui.shown_result import title_of

if TYPE_CHECKING:
    from analysis.results import Quantity, Region
    from recordings.format import Method, Specimen
    from tui.analysing import Analysed

#: Strands from which a group has a spread worth drawing: quartiles of two are the two.
ENOUGH_FOR_SPREAD = 3
#: Stretch per second where a recording does not say how fast it was pulled [%/s]: 60 % of the length a minute.
USUAL_RATE_PCT_S = 1.0
#: Longest name of a curve [characters].
LONGEST_NAME = 20


@dataclass(frozen=True, slots=True)
class Series:
    """One curve to be played, of force or stress over stretch [%].

    `low` and `high` are the spread of a group, empty for a single strand. `ends_pct` is where the curve ends, and
    `end_word` says what happened there; "" where nothing did.
    """

    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()
    end_word: str = ""
    broke: bool = False
    regions: tuple[Region, ...] = ()
    #: The furthest stretch up to each point: what a playhead is compared with, since a slow pull's x trembles. It
    #: ends with the elongation at break where that was measured.
    reached: tuple[float, ...] = ()

    @property
    def ends_pct(self) -> float:
        """Where the curve ends [%]."""
        return self.reached[-1] if self.reached else 0.0

    def count_to(self, at_pct: float) -> int:
        """How many points lie up to a stretch."""
        return bisect_right(self.reached, at_pct)

    def value_at(self, at_pct: float) -> float | None:
        """Force or stress at a stretch; that of its end beyond it, None before its beginning."""
        count = self.count_to(at_pct)
        return self.y[count - 1] if count else None

    def region_at(self, at_pct: float) -> str:
        """The region's name at a stretch; "" where it has none."""
        return next((r.name for r in reversed(self.regions) if at_pct >= r.start_pct), "")


@dataclass(frozen=True, slots=True)
class Reel:
    """Recordings ready to be played, as single strands and, where there are enough, as groups; in newtons and,
    where every strand's thickness is known, in megapascals.
    """

    title: str
    simulated: bool
    strands: tuple[Series, ...]
    groups: tuple[Series, ...]
    strands_mpa: tuple[Series, ...]
    groups_mpa: tuple[Series, ...]
    guideline_pct: float
    rate_pct_s: float
    #: Recordings that could not be played, a sentence each.
    problems: tuple[str, ...] = ()


class NothingToPlay(Exception):
    """None of the recordings has a curve; the message says why."""


def load_reel(paths: Sequence[Path]) -> Reel:
    """Analyse recordings for playing. Blocks. Raises NothingToPlay."""
    from tui.analysing import analyse_with_strand
    from tui.failure import sentence

    found: list[tuple[Path, Analysed]] = []
    problems = []
    for path in paths:
        try:
            analysed = analyse_with_strand(path)
        except Exception as problem:
            problems.append(sentence(problem))
            continue
        if analysed.result.curve is None:
            problems.append(wording.NO_CURVE.format(name=clean(path.name)))
        else:
            found.append((path, analysed))
    if not found:
        raise NothingToPlay(" ".join(problems) or wording.NOTHING_CHOSEN)
    return _reel(found, tuple(problems))


def _reel(found: Sequence[tuple[Path, Analysed]], problems: tuple[str, ...]) -> Reel:
    names = names_of([(path, analysed.specimen) for path, analysed in found])
    pulls = [analysed for _, analysed in found]
    in_stress = all(p.result.curve is not None and p.result.curve.stress_mpa is not None for p in pulls)

    def strands(*, stress: bool) -> tuple[Series, ...]:
        return tuple(_strand(name, pull, in_stress=stress) for name, pull in zip(names, pulls, strict=True))

    return Reel(
        title=_title(found, names),
        simulated=any(pull.result.simulated for pull in pulls),
        strands=strands(stress=False),
        groups=_groups(pulls, in_stress=False),
        strands_mpa=strands(stress=True) if in_stress else (),
        groups_mpa=_groups(pulls, in_stress=True) if in_stress else (),
        guideline_pct=pulls[0].result.verdict.guideline_pct,
        rate_pct_s=_rate(pulls[0].specimen, pulls[0].method),
        problems=problems,
    )


def _title(found: Sequence[tuple[Path, Analysed]], names: Sequence[str]) -> str:
    if len(found) == 1:
        return title_of(found[0][1].specimen, found[0][0])
    if len(found) == 2:
        return wording.AGAINST.format(first=names[0], second=names[1])
    return wording.SEVERAL.format(count=len(found))


def _strand(name: str, pull: Analysed, *, in_stress: bool) -> Series:
    result, curve = pull.result, pull.result.curve
    assert curve is not None
    y = curve.stress_mpa if in_stress and curve.stress_mpa is not None else curve.force_n
    x = tuple(curve.strain_pct.tolist())
    broke = result.outcome == "broke"
    return Series(
        name=name,
        x=x,
        y=tuple(y.tolist()),
        end_word=wording.END_WORDS[result.outcome],
        broke=broke,
        regions=result.regions,
        reached=_reached(x, result.elongation_at_break_pct),
    )


def _reached(x: Sequence[float], broke: Quantity) -> tuple[float, ...]:
    """The furthest stretch up to each point, ending with what was measured as the break."""
    furthest = list(accumulate(x, max))
    end: float = getattr(broke, "value", furthest[-1] if furthest else 0.0)
    return (*(min(one, end) for one in furthest[:-1]), end) if furthest else ()


def _groups(pulls: Sequence[Analysed], *, in_stress: bool) -> tuple[Series, ...]:
    """The groups by history, where at least one has a spread; a strand on its own is a curve without one."""
    from analysis.series.band import band
    from tui.grouping import by_key

    groups = by_key(pulls, "history")
    if not any(len(group.results) >= ENOUGH_FOR_SPREAD for group in groups):
        return ()
    made = []
    for group in groups:
        curves = [result.curve for result in group.results if result.curve is not None]
        middle = band(curves, in_stress=in_stress)
        x = tuple(middle.strain_pct.tolist())
        several = len(curves) >= ENOUGH_FOR_SPREAD
        made.append(
            Series(
                name=_cut(wording.GROUP_NAME.format(name=group.name, count=len(curves))),
                x=x,
                y=tuple(middle.median.tolist()),
                low=tuple(middle.low.tolist()) if several else (),
                high=tuple(middle.high.tolist()) if several else (),
                end_word=wording.HALF_BROKEN if len(curves) > 1 else wording.END_WORDS["broke"],
                reached=x,
            )
        )
    return tuple(made)


def _rate(specimen: Specimen | None, method: Method | None) -> float:
    """How fast the strand was stretched [%/s]."""
    if specimen is None or method is None or not method.speed_mm_min or not specimen.gauge_length_mm:
        return USUAL_RATE_PCT_S
    return 100.0 * method.speed_mm_min / specimen.gauge_length_mm / 60.0


def names_of(found: Sequence[tuple[Path, Specimen | None]]) -> list[str]:
    """A short name for each curve: the fewest words that tell all of them apart."""
    for fields in (("history",), ("history", "zone"), ("reference", "history"), ("reference", "zone"), ("strand",)):
        names = [_cut(" ".join(_said(specimen, fields))) for _, specimen in found]
        if all(names) and len(set(names)) == len(names):
            return names
    return _numbered([_cut(_first(specimen, path)) for path, specimen in found])


def _said(specimen: Specimen | None, fields: Sequence[str]) -> list[str]:
    told = [clean(getattr(specimen, field, "") or "") for field in fields]
    return told if all(told) else []


def _first(specimen: Specimen | None, path: Path) -> str:
    told = [] if specimen is None else [specimen.history, specimen.strand]
    return next((clean(text) for text in told if text), clean(path.name.split(".")[0]))


def _numbered(names: Sequence[str]) -> list[str]:
    """Names with a number behind each that occurs more than once."""
    seen: dict[str, int] = {}
    out = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        number = f" {seen[name]}" if names.count(name) > 1 else ""
        out.append(name[: LONGEST_NAME - len(number)] + number)
    return out


def _cut(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"
