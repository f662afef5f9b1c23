"""One series of strands: what its numbers say together, and the sentence that says it."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.errors import InputError
from analysis.results import Measured, NotMeasured, Quantity
from analysis.series.censored import Weibull, kaplan_meier, weibull
from analysis.series.intervals import (
    Interval,
    grubbs,
    mean_interval,
    proportion_interval,
    strands_for_half_width,
    tolerance_factor,
)
from analysis.series.observation import LeftOut, Observation

#: Share of strands of the tolerance bound: "at least 90 % of strands exceed ...".
TOLERANCE_SHARE = 0.90
#: Strands below which no mean, proportion or bound is given.
ENOUGH_STRANDS = 3
#: Half-width of the mean's interval that is called enough [% strain]: common practice, no source.
WANTED_HALF_WIDTH_PCT = 3.0


@dataclass(frozen=True, slots=True)
class SeriesSummary:
    """A series in numbers; elongations in %, shares from 0 to 1.

    `meets` counts the strands certain to reach the guideline: broke beyond it, or were seen to reach it.
    `undecided` are the censored ones that had not reached it. Quantities that censoring or too few strands
    forbid are NotMeasured with the reason.
    """

    name: str
    n: int
    broke: int
    censored: int
    mean_pct: Quantity
    sd_pct: Quantity
    mean_interval: Interval | None
    median_pct: Quantity
    smallest_pct: float | None
    largest_pct: float | None
    meets: int
    undecided: int
    share_meets: Quantity
    share_interval: Interval | None
    tolerance_bound_pct: Quantity
    weibull: Weibull | None
    outliers: tuple[str, ...]
    more_strands: int | None
    left_out: tuple[LeftOut, ...]
    guideline_pct: float
    statement: str


def summarise(
    name: str,
    observations: Sequence[Observation],
    left_out: Sequence[LeftOut] = (),
    guideline_pct: float = 20.0,
    wanted_half_width_pct: float = WANTED_HALF_WIDTH_PCT,
) -> SeriesSummary:
    """Summarise a series.

    Method: mean, sd and their interval from the strands that broke, and only if all broke (with censoring they
    would be too low); median by Kaplan-Meier; Weibull with censoring; proportion by Wilson over the strands
    that decide; tolerance bound by the noncentral t; outliers by Grubbs, named and kept.
    """
    values = [o.value for o in observations if not o.censored]
    whole = [o for o in observations if o.censored]
    meets = sum(v >= guideline_pct for v in values) + sum(o.value >= guideline_pct for o in whole)
    undecided = sum(o.value < guideline_pct for o in whole)
    mean, sd, interval, bound = _moments(values, len(whole))
    share, share_interval = _share(meets, len(observations) - undecided, undecided)
    more = None
    if isinstance(sd, Measured):
        wanted = strands_for_half_width(sd.value, wanted_half_width_pct)
        more = None if wanted is None else max(0, wanted - len(values))
    outlier = grubbs(values)
    exact = [o for o in observations if not o.censored]
    return SeriesSummary(
        name=name,
        n=len(observations),
        broke=len(values),
        censored=len(whole),
        mean_pct=mean,
        sd_pct=sd,
        mean_interval=interval,
        median_pct=_median(observations),
        smallest_pct=min(values, default=None),
        largest_pct=max(values, default=None),
        meets=meets,
        undecided=undecided,
        share_meets=share,
        share_interval=share_interval,
        tolerance_bound_pct=bound,
        weibull=_weibull(observations),
        outliers=(exact[outlier.index].name,) if outlier else (),
        more_strands=more,
        left_out=tuple(left_out),
        guideline_pct=guideline_pct,
        statement=_statement(name, observations, mean, interval, meets, undecided, guideline_pct),
    )


def _moments(values: list[float], censored: int) -> tuple[Quantity, Quantity, Interval | None, Quantity]:
    if censored:
        reason = (
            f"{censored} of the strands did not break, so a mean of the others would be too low; see the median"
        )
        none = NotMeasured(reason)
        return none, none, None, none
    if len(values) < ENOUGH_STRANDS:
        none = NotMeasured(f"{len(values)} measured strands are too few; pull at least {ENOUGH_STRANDS}")
        return none, none, None, none
    n, mean, sd = len(values), statistics.fmean(values), statistics.stdev(values)
    k = tolerance_factor(n, TOLERANCE_SHARE)
    # u of the bound: of a mean and of an sd, independent for a normal sample
    u_bound = sd * math.sqrt(1 / n + k * k / (2 * (n - 1)))
    return (
        Measured(mean, sd / math.sqrt(n)),
        Measured(sd, sd / math.sqrt(2 * (n - 1))),
        mean_interval(mean, sd, n),
        Measured(mean - k * sd, u_bound),
    )


def _share(meets: int, decided: int, undecided: int) -> tuple[Quantity, Interval | None]:
    if undecided:
        return NotMeasured(f"{undecided} strands stopped short of the guideline without breaking"), None
    if decided < ENOUGH_STRANDS:
        return NotMeasured(f"{decided} strands are too few for a share; pull at least {ENOUGH_STRANDS}"), None
    share = meets / decided
    return Measured(share, math.sqrt(share * (1 - share) / decided)), proportion_interval(meets, decided)


def _median(observations: Sequence[Observation]) -> Quantity:
    if len(observations) < ENOUGH_STRANDS:
        return NotMeasured(f"{len(observations)} strands are too few; pull at least {ENOUGH_STRANDS}")
    try:
        curve = kaplan_meier(observations)
    except InputError as error:
        return NotMeasured(str(error))
    median = curve.median_pct
    if median is None:
        return NotMeasured("more than half of the strands never broke within the travel")
    values = [o.value for o in observations]
    spread = statistics.stdev(values) / math.sqrt(len(values))
    return Measured(median, 1.2533 * spread)  # sqrt(pi/2): a median's scatter against a mean's, normal sample


def _weibull(observations: Sequence[Observation]) -> Weibull | None:
    try:
        return weibull(observations)
    except InputError:
        return None


def _statement(
    name: str,
    observations: Sequence[Observation],
    mean: Quantity,
    interval: Interval | None,
    meets: int,
    undecided: int,
    guideline_pct: float,
) -> str:
    n = len(observations)
    if not n:
        return f"{name}: no strand could be judged."
    if n < ENOUGH_STRANDS:
        what = "strand was" if n == 1 else "strands were"
        return f"{name}: {n} {what} pulled, too few for a result; one strand is an anecdote."
    parts = [f"{name}: {meets} of {n} strands reached the guideline of {guideline_pct:g} %"]
    if undecided:
        parts.append(f"{undecided} did not break and did not get that far, so they say neither")
    if isinstance(mean, Measured) and interval is not None:
        parts.append(
            f"the mean elongation at break is {mean.value:.1f} % ({interval.low:.1f} to {interval.high:.1f} %)"
        )
        parts.append(_against(interval, guideline_pct))
    return "; ".join(parts) + "."


def _against(interval: Interval, guideline_pct: float) -> str:
    if interval.low >= guideline_pct:
        return "as a set they are above the guideline"
    if interval.high < guideline_pct:
        return "as a set they are below the guideline"
    return "as a set they are too close to call"
