"""Signs that a clamp lets the strand slip: falls that heal, and slow declines while the stage moves on.

Owns teeth and slides. Must not know strains.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.pull.falls import BREAK_LOSS, LOW_SAMPLES, Falls
from analysis.pull.spans import BoolArray, runs
from analysis.trace import FloatArray

#: A tooth loses this share of the force and this many noise deviations, and half of it comes back.
TOOTH_LOSS = 0.04
TOOTH_SIGMAS = 10.0
TOOTH_HEALS = 0.5
#: So many teeth are a slipping clamp; fewer are told as a flag.
SLIP_TEETH = 3
#: A slow loss of this share of the highest force is a strand sliding out of its clamp, even if it lets go at last.
SLIDE_LOSS = 0.15
#: Such a slide began where the force first came this near to its highest value.
SLIDE_NEAR = 0.95
#: A step of the stage smaller than this share of the usual one is standing still.
STILL_SHARE = 0.2


@dataclass(frozen=True, slots=True)
class Tooth:
    """A fall that healed: the samples at its top and its bottom, and the share of the force it lost."""

    top: int
    bottom: int
    loss: float


def find_teeth(falls: Falls) -> tuple[Tooth, ...]:
    """Falls of less than half after which the force rose again by half of what was lost."""
    y, n = falls.y, falls.y.size
    spans = runs((falls.share >= TOOTH_LOSS) & (falls.lost >= TOOTH_SIGMAS * falls.noise))
    found: list[Tooth] = []
    for k, (start, stop) in enumerate(spans):
        first = max(0, start - falls.width)
        top = first + int(np.argmax(y[first : start + 1]))
        bottom = start + int(np.argmin(y[start : min(stop + LOW_SAMPLES, n)]))
        until = max(spans[k + 1][0] if k + 1 < len(spans) else n, bottom)
        fall, back = float(y[top] - y[bottom]), float(y[bottom : until + 1].max() - y[bottom])
        if 0.0 < fall < BREAK_LOSS * float(y[top]) and back >= TOOTH_HEALS * fall:
            found.append(Tooth(top, bottom, fall / float(y[top])))
    return tuple(found)


def find_slide(falls: Falls, x: FloatArray | None, peak: int, stop: int) -> int | None:
    """First sample of a slow decline while the stage moved; None where there is none before `stop`.

    A strand that tears in steps (an abrupt loss on the way) does not slide.
    """
    y = falls.y[:stop]
    if (falls.share[peak : max(stop - 1 - falls.width, peak)] >= TOOTH_LOSS).any() and stop < falls.y.size:
        return None
    last = np.flatnonzero(np.ones(stop, dtype=bool) if x is None else _moving(x[:stop]))
    if last.size == 0 or last[-1] <= peak or y[peak] <= 0.0:
        return None
    end = int(last[-1]) + 1
    final = float(np.median(y[max(peak, end - 5) : end]))
    if y[peak] - final < max(SLIDE_LOSS * y[peak], TOOTH_SIGMAS * falls.noise):
        return None
    return int(np.argmax(y[: peak + 1] >= SLIDE_NEAR * float(y[peak])))


def _moving(x: FloatArray) -> BoolArray:
    """Samples during which the stage went on."""
    step = np.diff(x, prepend=x[0])
    usual = float(np.median(step[step > 0.0])) if (step > 0.0).any() else 0.0
    return np.asarray(step > STILL_SHARE * usual)
