"""Files into a table or a figure: every one analysed, in order; one without a result keeps a row with the reason.

One way for the command line and the library screen. Blocks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tui import wording_library as words
from tui.analysing import Analysed, Wishes, analyse_with_strand
from tui.failure import CommandError, sentence
from tui.figures.canvas import ENDINGS
from tui.library.reading import head_of
from tui.library.rows import Extras, Row, row_of, row_without_result
from tui.library.tables import WRITERS, check_table, write_table
from tui.notes import notes_of

#: Told after every file: how many are done.
Tell = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Exported:
    """What came of it; `problems` are the files that gave no result, each with its sentence."""

    path: Path
    count: int
    problems: tuple[tuple[Path, str], ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """What the program knows beside the files: tags by file name, why pulls were set aside and how tables are read
    by path."""

    tags: Mapping[str, tuple[str, ...]]
    set_aside: Mapping[str, str]
    tables: Mapping[str, Wishes]


NOTHING_BESIDE = Beside({}, {}, {})


def check_target(path: Path) -> None:
    """Raises CommandError or OSError where nothing can be written to this path, before anything is worked out."""
    if path.suffix.lower() not in ENDINGS:
        if path.suffix.lower() not in WRITERS:
            endings = ", ".join((*WRITERS, *ENDINGS))
            raise CommandError(words.EXPORT_ENDING.format(name=path.name or str(path), endings=endings))
        check_table(path)
    if path.exists():
        raise FileExistsError(17, "File exists", str(path))
    if not path.parent.is_dir():
        raise FileNotFoundError(2, "No such folder", str(path.parent))


def export(
    paths: Sequence[Path], target: Path, tell: Tell, beside: Beside = NOTHING_BESIDE, wishes: Wishes | None = None
) -> Exported:
    """Write a table or a figure of the files. Raises CommandError or OSError."""
    check_target(target)
    rows: list[Row] = []
    good: list[Analysed] = []
    problems: list[tuple[Path, str]] = []
    for done, path in enumerate(paths, 1):
        extras = _extras(path, beside)
        try:
            analysed = analyse_with_strand(path, wishes or beside.tables.get(str(path), Wishes()))
        except Exception as problem:
            problems.append((path, sentence(problem)))
            rows.append(row_without_result(path, problems[-1][1], extras))
        else:
            good.append(analysed)
            rows.append(row_of(path, analysed, extras))
        tell(done)
    if target.suffix.lower() in ENDINGS:
        _draw(good, target)
    else:
        write_table(rows, target)
    return Exported(target, len(paths), tuple(problems))


def _extras(path: Path, beside: Beside) -> Extras:
    return Extras(
        recorded_at=head_of(path, "").recorded_at,
        tags=beside.tags.get(path.name, ()),
        notes=tuple(notes_of(path)),
        set_aside=beside.set_aside.get(str(path), ""),
    )


def _draw(pulls: Sequence[Analysed], target: Path) -> None:
    """One pull with its regions, several as groups by their history."""
    from tui.figures.groups import draw_overlay
    from tui.figures.pull import draw_pull
    from tui.grouping import by_key

    drawn = [pull for pull in pulls if pull.result.curve is not None]
    if not drawn:
        raise CommandError(words.EXPORT_NOTHING)
    if len(drawn) == 1:
        draw_pull(drawn[0].result, target)
    else:
        groups = {group.name: group.results for group in by_key(drawn, "history")}
        draw_overlay(groups, target, drawn[0].result.verdict.guideline_pct)
