"""One strand as a series sees it: a value that was reached, and whether the strand broke there.

A strand that slipped, broke at the clamp or never broke stretched at least as far as it was seen to: it is
right-censored, neither a failure nor a pass beyond what it showed. A bad test says nothing and is listed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from analysis.results import Measured, PullResult


@dataclass(frozen=True, slots=True)
class Observation:
    """A strand's elongation [%] with its standard uncertainty; `censored` means "at least this much"."""

    name: str
    value: float
    u: float
    censored: bool


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A pull that can't speak in a series, and why."""

    name: str
    reason: str


CENSORED_OUTCOMES = frozenset({"slipped", "clamp_break", "no_break", "stopped"})


def observe(results: Iterable[PullResult]) -> tuple[tuple[Observation, ...], tuple[LeftOut, ...]]:
    """Sort the results of a series into observations and what is left out, with the reason."""
    seen: list[Observation] = []
    left: list[LeftOut] = []
    for result in results:
        elongation, reached = result.elongation_at_break_pct, result.elongation_reached_pct
        if result.outcome == "broke" and isinstance(elongation, Measured):
            seen.append(Observation(result.recording, elongation.value, elongation.u, censored=False))
        elif result.outcome in CENSORED_OUTCOMES and reached is not None and reached > 0:
            seen.append(Observation(result.recording, reached, 0.0, censored=True))
        else:
            reason = "a bad test" if isinstance(elongation, Measured) else elongation.reason
            left.append(LeftOut(result.recording, reason))
    return tuple(seen), tuple(left)
