"""Round ticks of an axis and round limits that hold the data. Knows numbers only."""

from __future__ import annotations

import math

#: A step of an axis is one of these times a power of ten, so that a person can count along it.
ROUND_STEPS = (1.0, 2.0, 5.0, 10.0)

#: How far past a limit a tick may lie and still count as on it, as a share of the step (floating-point slack).
SLACK = 1e-9


def round_step(span: float, most: int) -> float:
    """The smallest round step that gives at most `most` steps over `span`."""
    if not (math.isfinite(span) and span > 0):
        return 1.0
    raw = span / max(most, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    return next(step * power for step in ROUND_STEPS if step * power >= raw * (1 - SLACK))


def ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Round values from `low` to `high`, at most `most` + 1 of them; empty where the range is."""
    if not high > low:
        return ()
    step = round_step(high - low, most)
    first = math.ceil(low / step - SLACK)
    last = math.floor(high / step + SLACK)
    return tuple(index * step + 0.0 for index in range(first, last + 1))


def decimals_of(step: float) -> int:
    """Places behind the point that a multiple of a round `step` needs."""
    return max(0, -math.floor(math.log10(step) + SLACK))


def tick_text(value: float, step: float) -> str:
    """A tick's label: as many places as the step needs, and never a negative zero."""
    places = decimals_of(step)
    return f"{round(value, places) + 0.0:.{places}f}"


def round_above(value: float, most: int = 5) -> float:
    """A round number at or above a positive `value`, for the end of an axis with about `most` steps."""
    if not (math.isfinite(value) and value > 0):
        return 1.0
    step = round_step(value, most)
    return math.ceil(value / step - SLACK) * step
