"""`strandbench study`: whose scatter is it? What the rig, the person and the strand each add."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json
from tui.failure import DONE, NOT_DONE, CommandError, report
from tui.files import expanded
from tui.format import label_of, plain, unit_of
from tui.output import Progress, say, say_json
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    import numpy as np

    from analysis.series.gauge_study import CrossedStudy, NestedStudy

SUMMARY = "find how much scatter is the rig's, the person's, the strand's"

PURPOSE = """
Find whose scatter it is: what the rig adds to a figure, what the person, what the strand. There are two kinds of
study.

A crossed one, where the same things are measured again and again: several people measure several springs (or
diameters) several times each. Give one table with the columns part, person and value.

A nested one, for strands, which break only once: several people each pull strands of the same head. Give the
recordings; they are sorted by who pulled (--operator of `pull`), or by what --by says."""

EXAMPLES = """
strandbench study springs.csv
strandbench study --by operator pulls/*.pull.csv
strandbench study --by zone --of stress_at_break_mpa pulls/*.pull.csv"""

#: What recordings can be sorted by.
KEYS = ("operator", "zone", "reference", "series")
#: Columns of the table of a crossed study.
COLUMNS = ("part", "person", "value")


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "[options] FILE …"
    parser = add_command(subparsers, "study", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes)
    parser.add_argument("files", nargs="+", metavar="FILE", help="one table, or the recordings of strands")
    parser.add_argument(
        "--by", choices=KEYS, default="operator", help="who or what to tell apart (default operator)"
    )
    parser.add_argument(
        "--of",
        default="elongation_at_break_pct",
        metavar="QUANTITY",
        help="which result (default elongation_at_break_pct)",
    )
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Run the study that fits the files."""
    from recordings.reader import looks_like_recording

    paths = expanded(args.files)
    if len(paths) == 1 and not looks_like_recording(paths[0]):
        return _crossed(paths[0], args)
    return _nested(paths, args)


def _crossed(path: Path, args: argparse.Namespace) -> int:
    from analysis.series.gauge_study import crossed_study

    study = crossed_study(_readings(path))
    if args.json:
        say_json([_crossed_json(study)], as_list=False)
        return DONE
    say(f"Crossed study of {clean(path.name)}: standard deviations, and shares of the whole variance")
    whole = study.total_sd**2 or 1.0
    for label, sd in (
        ("the rig itself (repeatability)", study.repeatability_sd),
        ("from person to person (reproducibility)", study.reproducibility_sd),
        ("rig and person together", study.rig_and_person_sd),
        ("from part to part", study.part_sd),
    ):
        say(f"  {label:42} {plain(sd, '', 3):>10}  {100 * sd**2 / whole:5.1f} %")
    apart = "one kind only: they can't be told apart" if study.categories < 2 else f"{study.categories} kinds"
    say(wrapped(f"By these measurements the parts fall into {apart}.", hang=2))
    return DONE


def _readings(path: Path) -> np.ndarray[Any, Any]:
    """The table as (parts, people, repeats). Raises CommandError where a cell of the design is missing."""
    import pandas as pd

    try:
        table = pd.read_csv(path, comment="#")
    except (ValueError, UnicodeDecodeError) as problem:
        raise CommandError(
            f"{clean(path.name)} is no table of readings: give the columns part, person, value."
        ) from problem
    missing = [name for name in COLUMNS if name not in table.columns]
    if missing:
        raise CommandError(f"{clean(path.name)} lacks the column {missing[0]!r}: give part, person and value.")
    table["value"] = pd.to_numeric(table["value"], errors="coerce")
    if table["value"].isna().any():
        raise CommandError(f"{clean(path.name)} has a value that is no number: correct it.")
    groups = table.groupby(["part", "person"])["value"].apply(list).unstack()
    repeats = {0 if isinstance(cell, float) else len(cell) for cell in groups.to_numpy().ravel()}
    if len(repeats) != 1 or repeats == {0}:
        raise CommandError("Every person must measure every part equally often: fill in what is missing.")
    return pd.DataFrame(groups.to_numpy().ravel().tolist()).to_numpy(float).reshape(*groups.shape, -1)


def _crossed_json(study: CrossedStudy) -> dict[str, Any]:
    return {
        "kind": "crossed",
        "repeatability_sd": study.repeatability_sd,
        "reproducibility_sd": study.reproducibility_sd,
        "part_sd": study.part_sd,
        "categories": study.categories if study.rig_and_person_sd else None,
        "interaction_p": study.interaction_p,
        "interaction_pooled": study.pooled,
        "analysis_of_variance": [{"source": n.source, "dof": n.dof, "ss": n.ss} for n in study.lines],
    }


def _nested(paths: list[Path], args: argparse.Namespace) -> int:
    import numpy as np

    from analysis.results import QUANTITIES
    from analysis.series.gauge_study import nested_study

    if args.of not in QUANTITIES:
        raise CommandError(f"There is no quantity {clean(args.of)!r}: choose one of {', '.join(QUANTITIES)}.")
    groups, failed = _values(paths, args)
    study = nested_study([np.array(values) for values in groups.values()])
    if args.json:
        say_json([{"kind": "nested", "of": args.of, "groups": groups, **_nested_json(study)}], as_list=False)
    else:
        _say_nested(study, groups, args)
    return NOT_DONE if failed else DONE


def _values(paths: list[Path], args: argparse.Namespace) -> tuple[dict[str, list[float]], bool]:
    """Measured values by group, and whether any file gave none."""
    from analysis.results import Measured
    from tui.batch import analyse_many

    groups: dict[str, list[float]] = {}
    failed = False
    with Progress("analysing", len(paths)) as progress:
        for _, found in analyse_many(paths):
            progress.step()
            if isinstance(found, Exception):
                failed = True
                report(found)
                continue
            owner = found.method if args.by == "operator" else found.specimen
            quantity = getattr(found.result, args.of)
            if isinstance(quantity, Measured):
                name = clean(getattr(owner, args.by, "") or "") or "not said"
                groups.setdefault(name, []).append(quantity.value)
    return groups, failed


def _nested_json(study: NestedStudy) -> dict[str, Any]:
    return {
        "mean": study.mean,
        "repeatability_sd": study.repeatability_sd,
        "between_sd": study.between_sd,
        "reproducibility_sd": study.reproducibility_sd,
        "share_between": study.share_between,
    }


def _say_nested(study: NestedStudy, groups: dict[str, list[float]], args: argparse.Namespace) -> None:
    unit = unit_of(args.of)
    say(f"Nested study of {label_of(args.of)}, by {args.by}")
    for name, values in groups.items():
        say(f"  {name:24} {len(values):3} strands, mean {plain(sum(values) / len(values), unit, 4)}")
    say()
    say(f"  {'within one group (rig and strand)':42} {plain(study.repeatability_sd, unit, 3):>10}")
    say(f"  {'between the groups':42} {plain(study.between_sd, unit, 3):>10}")
    share = 100 * study.share_between
    say(
        wrapped(f"{share:.0f} % of the variance lies between the groups ({args.by}), the rest within them.", hang=2)
    )
    say(
        wrapped(
            "A strand can't be pulled twice, so rig and strand can't be told apart here; a crossed study can.",
            hang=2,
        )
    )
