"""`strandbench compare`: several strands as one series, and groups of strands against each other."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json, guideline_pct, measure
from tui.failure import DONE, NOT_DONE, USAGE, CommandError, report
from tui.files import expanded
from tui.output import Progress, note, say, say_json

if TYPE_CHECKING:
    from analysis.series.quantities import QuantityComparison
    from analysis.series.summary import SeriesSummary
    from tui.analysing import Analysed
    from tui.grouping import Group

SUMMARY = "take several strands together, and compare groups of them"

PURPOSE = """
One strand is an anecdote. This command takes several recordings together: the mean and its interval, the
scatter, how many reach the guideline, what nine strands in ten exceed. Groups (damaged and healthy, before
and after, roots and ends) are compared on elongation, stress, yield, work and stiffness.

Recordings are sorted by what they say of the strand (--by), or put together by hand (--group NAME FILES).
Strands that slipped or never broke count as "at least this much". Wet and dry are never pooled.

With --before and --after it is one strand and itself: how much of the work that it took to stretch it to 20 %
is left after a treatment. The pull before must keep the strand whole (`strandbench pull --kind proof`), and
both must go to 20 % at least. That 20 % is a fixed place on the curve, not the guideline."""

EXAMPLES = """
strandbench compare pulls/*.pull.csv
strandbench compare --by zone pulls/*.pull.csv
strandbench compare --group healthy a*.pull.csv --group lightened b*.pull.csv --figure wall.pdf
strandbench compare --before monday.pull.csv --after friday.pull.csv --figure change.png"""

#: Shown in place of a group's numbers in the figure options' help.
FIGURE_HELP = "draw {} (.png, .svg or .pdf)"


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    parser = add_command(subparsers, "compare", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES)
    parser.add_argument("files", nargs="*", metavar="FILE", help="recordings or tables")
    keys = ("history", "zone", "condition", "reference", "series")
    parser.add_argument("--by", choices=keys, default="history", help="what to sort by (default: history)")
    parser.add_argument(
        "--group",
        nargs="+",
        action="append",
        default=[],
        metavar=("NAME", "FILE"),
        help="a group put together by hand",
    )
    for name, what in (("before", "before"), ("after", "after")):
        parser.add_argument(
            f"--{name}", type=Path, metavar="FILE", help=f"the same strand {what} a treatment: what of it is left"
        )
    parser.add_argument(
        "--guideline-pct",
        type=guideline_pct,
        metavar="PCT",
        help="least stretch a strand should reach (default 20)",
    )
    parser.add_argument(
        "--gauge-length-mm", type=measure, metavar="MM", help="for tables: distance between the clamps"
    )
    parser.add_argument("--diameter-um", type=measure, metavar="UM", help="for tables: diameter of the strands")
    parser.add_argument(
        "--figure", type=Path, metavar="FILE", help=FIGURE_HELP.format("the groups' curves overlaid")
    )
    parser.add_argument(
        "--strand-figure", type=Path, metavar="FILE", help=FIGURE_HELP.format("every strand's elongation as a mark")
    )
    add_json(parser)


def run(args: argparse.Namespace) -> int:
    """Summarise each group and compare them; 0 only when every file gave a result."""
    _check(args)
    if args.before is not None:
        from tui.before_after import run_before_after

        return run_before_after(args)
    groups, failed = _groups(args)
    if not groups:
        return NOT_DONE
    from analysis.series.observation import observe
    from analysis.series.quantities import compare_groups
    from analysis.series.summary import summarise

    limit = args.guideline_pct or groups[0].results[0].verdict.guideline_pct
    summaries = [summarise(g.name, *observe(g.results), guideline_pct=limit) for g in groups]
    comparisons = compare_groups({g.name: g.results for g in groups}, _pairs(args, groups))
    _draw(args, groups, summaries, limit)
    if args.json:
        _say_json(summaries, comparisons)
    else:
        _say(groups, summaries, comparisons)
    return NOT_DONE if failed else DONE


def _check(args: argparse.Namespace) -> None:
    if (args.before is None) != (args.after is None):
        raise CommandError("Give both --before FILE and --after FILE, of the same strand.", USAGE)
    pair = args.before is not None
    if pair and (args.files or args.group or args.strand_figure):
        raise CommandError("--before and --after stand alone: leave other recordings and groups out.", USAGE)
    if not pair and bool(args.files) == bool(args.group):
        raise CommandError("Name recordings to compare, or put groups together with --group NAME FILE…", USAGE)
    for group in args.group:
        if len(group) < 2:
            raise CommandError(f"The group {group[0]!r} has no files: give --group NAME FILE…", USAGE)
    for path in filter(None, (args.figure, args.strand_figure)):
        from tui.figures.canvas import check_ending

        check_ending(path)


def _groups(args: argparse.Namespace) -> tuple[tuple[Group, ...], bool]:
    """The groups, and whether any file gave no result."""
    from tui.grouping import by_key, named

    if args.files:
        pulls, failed = _analysed(args, args.files)
        return by_key(pulls, args.by), failed
    made, failed = [], False
    for name, *files in args.group:
        pulls, some_failed = _analysed(args, files)
        failed |= some_failed
        if pulls:
            made.append(named(name, pulls))
    return tuple(made), failed


def _analysed(args: argparse.Namespace, files: Sequence[str]) -> tuple[list[Analysed], bool]:
    from tui.analysing import Wishes
    from tui.batch import analyse_many

    paths = expanded(files)
    wishes = Wishes(
        gauge_length_mm=args.gauge_length_mm, diameter_um=args.diameter_um, guideline_pct=args.guideline_pct
    )
    pulls, failed = [], False
    with Progress("analysing", len(paths)) as progress:
        for _, found in analyse_many(paths, wishes):
            if isinstance(found, Exception):
                failed = True
                progress.clear()
                report(found)
            else:
                pulls.append(found)
            progress.step()
    return pulls, failed


def _pairs(args: argparse.Namespace, groups: Sequence[Group]) -> list[tuple[str, str]]:
    """Pairs worth comparing: of one condition, unless the person asked for others by grouping so."""
    asked = bool(args.group) or args.by == "condition"
    return [(a.name, b.name) for a, b in combinations(groups, 2) if asked or a.condition == b.condition]


def _draw(
    args: argparse.Namespace, groups: Sequence[Group], summaries: Sequence[SeriesSummary], limit: float
) -> None:
    if args.figure is None and args.strand_figure is None:
        return
    from tui.figures.groups import draw_elongations, draw_overlay

    results = {g.name: g.results for g in groups}
    if args.figure is not None:
        draw_overlay(results, args.figure, limit)
        note(f"Figure: {args.figure}")
    if args.strand_figure is not None:
        draw_elongations(results, summaries, args.strand_figure, limit)
        note(f"Figure: {args.strand_figure}")


def _say_json(summaries: Sequence[SeriesSummary], comparisons: Sequence[QuantityComparison]) -> None:
    from analysis.series.as_json import as_json

    say_json([{"groups": as_json(summaries), "comparisons": as_json(comparisons)}], as_list=False)


def _say(
    groups: Sequence[Group], summaries: Sequence[SeriesSummary], comparisons: Sequence[QuantityComparison]
) -> None:
    from tui.series_text import say_comparisons, say_summary
    from tui.text_width import wrapped

    for number, summary in enumerate(summaries):
        if number:
            say()
        say_summary(summary)
    if len({g.condition for g in groups}) > 1:
        say()
        say(wrapped("Wet and dry strands differ by the water alone: compare like with like.", indent=0))
    say_comparisons(comparisons)
