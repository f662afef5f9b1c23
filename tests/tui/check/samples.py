"""Cards, checks and results for tests; every client and every strand is invented."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from analysis.results import Measured, NotMeasured, PullResult, Verdict
from tui.check.card import Card
from tui.check.course import Check, spread, with_pull

#: An hour off UTC, so that a time zone that is forgotten shows.
ZONE = timezone(timedelta(hours=1))
START = datetime(2026, 3, 2, 9, 0, tzinfo=ZONE)
ZONES = ("front hairline", "crown", "nape")


def at(**later: float) -> datetime:
    """A moment after the start."""
    return START + timedelta(**later)


def card(reference: str = "HK-204", history: str = "lightened twice") -> Card:
    return Card(reference, START, "B7", history)


def check(strands: int = 5, pulled: int = 0) -> Check:
    found = Check(START, "B7", "dry", 30.0, spread(ZONES, strands))
    for number in range(pulled):
        found = with_pull(found, f"/pulls/{number}.pull.csv", at(minutes=number))
    return found


def result(
    stretch_pct: float, verdict: str = "meets", outcome: str = "broke", name: str = "x", u: float = 0.5
) -> PullResult:
    none = NotMeasured("not in this test")
    broke = outcome == "broke"
    return PullResult(
        recording=name,
        complete=True,
        simulated=False,
        outcome=outcome,
        elongation_reached_pct=stretch_pct,
        elongation_at_break_pct=Measured(stretch_pct, u) if broke else NotMeasured("it did not break"),
        force_max_n=none,
        force_at_break_n=none,
        stress_at_break_mpa=none,
        initial_modulus_gpa=none,
        yield_strain_pct=none,
        yield_stress_mpa=none,
        post_yield_strain_pct=none,
        work_to_20pct_mj_m3=none,
        work_to_break_mj_m3=none,
        work_to_break_uj=none,
        verdict=Verdict(verdict, 20.0, None, "A sentence."),
        flags=(),
    )
