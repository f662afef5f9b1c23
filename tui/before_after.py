"""One strand before and after a treatment on the command line: read both recordings, compare, say, draw."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from tui.failure import DONE, NOT_DONE
from tui.output import note, paint, say, say_json
from tui.result_text import LONGEST_SENTENCE, say_table
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    from pathlib import Path

    from analysis.kinds.before_after import BeforeAfter


def run_before_after(args: argparse.Namespace) -> int:
    """Compare the two recordings; 0 only where the share that is left was measured."""
    from analysis.kinds.before_after import compare_before_after
    from analysis.results import Measured
    from tui.analysing import Wishes, trace_of

    wishes = Wishes(gauge_length_mm=args.gauge_length_mm, diameter_um=args.diameter_um)
    found = compare_before_after(trace_of(args.before, wishes), trace_of(args.after, wishes))
    if args.json:
        say_json([{**found.to_json(), "before": str(args.before), "after": str(args.after)}], as_list=False)
    else:
        _say(found)
    if args.figure is not None:
        _draw(found, args.figure)
    return DONE if isinstance(found.work_to_20pct_left_pct, Measured) else NOT_DONE


def _say(found: BeforeAfter) -> None:
    marks = " (simulated)" if found.simulated else ""
    say(paint(f"{clean(found.before)} → {clean(found.after)}{marks}", "strong", sys.stdout))
    say()
    say(wrapped(clean(found.statement, LONGEST_SENTENCE), indent=2))
    say()
    say_table(
        {
            name: getattr(found, name)
            for name in (
                "work_to_20pct_left_pct",
                "force_at_15pct_left_pct",
                "work_to_20pct_before_uj_per_mm",
                "work_to_20pct_after_uj_per_mm",
            )
        }
    )
    for flag in found.flags:
        say()
        say(wrapped(f"! {flag.code.replace('_', ' ')}: {clean(flag.message, LONGEST_SENTENCE)}", hang=2))


def _draw(found: BeforeAfter, path: Path) -> None:
    from tui.figures.kinds import draw_before_after

    draw_before_after(found, path)
    note(f"Figure: {path}")
