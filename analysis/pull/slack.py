"""Where strain begins: the slack that the straight part shows, taken out or left.

Owns the decision. The line it rests on is found in `elastic` (ASTM D638 Annex A1: the toe is "an artifact caused by
a takeup of slack, and alignment or seating of the specimen").
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analysis.pull.corrections import Corrected
from analysis.pull.elastic import Elastic, rise_index
from analysis.pull.spans import moving_mean
from analysis.results import Flag
from analysis.words import short

#: Slack is told as a flag from this share of the gauge length [%] and so many standard uncertainties on.
NOTABLE_PCT = 0.25
NOTABLE_SIGMAS = 3.0
#: A toe that carries more than this share of the force at the bend (or at the end) is the material's own curve.
TOE_IS_MATERIAL = 0.3
#: The strand counts as already under tension at the start from so many noise deviations and this share of the peak.
TENSION_SIGMAS = 5.0
TENSION_SHARE = 0.02


#: Share of a pretension that the noise is averaged down to where the place of the pretension is read.
PRETENSION_NOISE = 0.1


@dataclass(frozen=True, slots=True)
class Onset:
    """Extension [mm] at which strain begins, whether the line says so, and what to tell.

    `u_mm` is its standard uncertainty where no line says it.
    """

    mm: float
    from_line: bool
    u_mm: float = 0.0
    flags: tuple[Flag, ...] = ()


AT_START = Onset(0.0, from_line=False)


def find_onset(elastic: Elastic | None, curve: Corrected, noise: float, gauge_mm: float | None) -> Onset:
    """Decide where strain begins.

    A positive intercept is slack. A negative one counts only where the strand was under tension at the start;
    without tension it is the curve's rounding, and strain begins with the first sample. Without a straight part the
    force begins between the last reading that shows none and the first that does.
    """
    if elastic is None:
        return _between_readings(curve, noise)
    most = float(curve.force.max())
    carried = elastic.toe_n / (elastic.bend_n or most)
    if elastic.onset_mm > 0.0 and carried > TOE_IS_MATERIAL:
        return Onset(0.0, from_line=False, flags=(_bent(elastic),))
    tense = float(curve.force[0]) > max(TENSION_SIGMAS * noise, TENSION_SHARE * most)
    if elastic.onset_mm <= 0.0 and not tense:
        return AT_START
    return Onset(elastic.onset_mm, from_line=True, flags=_slack_flags(elastic, gauge_mm))


def onset_at_pretension(
    elastic: Elastic | None, curve: Corrected, pretension_n: float, noise: float, gauge_mm: float | None
) -> Onset:
    """Where the force first reaches a pretension; the first sample where it never does.

    Read off the mean over several samples where the noise is large against the pretension.
    """
    half = int(min((noise / (PRETENSION_NOISE * pretension_n)) ** 2, curve.force.size / 40.0) / 2.0)
    risen = np.maximum.accumulate(moving_mean(curve.force, half))
    at = int(risen.searchsorted(pretension_n))
    if at in (0, risen.size):
        return AT_START
    mm = float(np.interp(pretension_n, risen[at - 1 : at + 1], curve.x[at - 1 : at + 1]))
    return Onset(
        mm, from_line=elastic is not None, flags=() if elastic is None else _slack_flags(elastic, gauge_mm)
    )


def _between_readings(curve: Corrected, noise: float) -> Onset:
    start = min(rise_index(curve.force, noise), curve.x.size - 1)
    if start == 0:
        return AT_START
    before, after = float(curve.x[start - 1]), float(curve.x[start])
    return Onset(max(before, 0.0), from_line=False, u_mm=(after - before) / math.sqrt(3.0))


def _slack_flags(elastic: Elastic, gauge_mm: float | None) -> tuple[Flag, ...]:
    slack = elastic.onset_mm
    if gauge_mm is None or slack < NOTABLE_PCT / 100.0 * gauge_mm or slack < NOTABLE_SIGMAS * elastic.u_onset_mm:
        return ()
    share = 100.0 * slack / gauge_mm
    amount = f"{short(slack)} mm ({short(share)} % of the gauge length)"
    return (Flag("slack", f"the strand was slack by {amount}: taken out, strain counts from there"),)


def _bent(elastic: Elastic) -> Flag:
    return Flag(
        "bent_start",
        f"the curve bends upwards until it carries {short(elastic.toe_n)} N: that is no slack, so strain counts "
        "from the first sample",
    )
