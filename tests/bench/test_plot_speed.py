"""The cost of drawing a curve hardly depends on how many points it has: the ratio of both in one run."""

from __future__ import annotations

import random
import time

from tui.widgets.braille import Canvas, Pen
from tui.widgets.points import Points
from tui.widgets.scale import Scale, Window
from tui.widgets.strokes import draw

WINDOW = Window(0, 50, 0, 1)

#: Times that drawing a million points may cost what drawing a thousand does; undecimated it would be a thousand.
ALLOWED_RATIO = 6.0


def curve(count: int) -> Points:
    """A noisy rising curve."""
    noise = random.Random(1)
    return Points((50 * i / count for i in range(count)), (i / count + noise.gauss(0, 0.005) for i in range(count)))


def least_cost_s(points: Points) -> float:
    """Processor time of drawing it once, the least of several tries."""
    costs = []
    for _ in range(7):
        canvas = Canvas(120, 30)
        began = time.process_time()
        draw(canvas, points, Scale(WINDOW, canvas.dots_wide, canvas.dots_tall), Pen())
        costs.append(time.process_time() - began)
    return min(costs)


def test_a_million_points_cost_hardly_more_than_a_thousand() -> None:
    few, many = least_cost_s(curve(1000)), least_cost_s(curve(1_000_000))
    assert many < ALLOWED_RATIO * few
