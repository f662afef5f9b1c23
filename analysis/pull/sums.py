"""Running sums over a curve, and straight lines from them: least squares on any stretch without a loop.

Must not know what x and y are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analysis.trace import FloatArray, IntArray


@dataclass(frozen=True, slots=True)
class Line:
    """y = intercept + slope x, from n points around mean_x; sxx is their sum of squares about it."""

    slope: float
    intercept: float
    n: int
    mean_x: float
    sxx: float

    def at(self, x: float) -> float:
        """Height of the line at x."""
        return self.intercept + self.slope * x

    def variance_at(self, x: float) -> float:
        """Variance of the height at x for points of variance 1."""
        return 1.0 / self.n + (x - self.mean_x) ** 2 / self.sxx

    def crossing(self, other: Line) -> float:
        """Where it meets another line; infinite for a parallel one."""
        turn = self.slope - other.slope
        return (other.intercept - self.intercept) / turn if turn else math.inf


class Sums:
    """Running sums over the points of one curve, x never falling, for exact fits on any stretch of it.

    They are taken about the means of the whole curve, so that nothing is lost in differences of large numbers.
    """

    def __init__(self, x: FloatArray, y: FloatArray) -> None:
        self.x, self.y = x, y
        self.n = int(x.size)
        self.x0, self.y0 = float(x.mean()), float(y.mean())
        cx, cy = x - self.x0, y - self.y0
        self._run = np.zeros((6, self.n + 1))
        for row, values in enumerate((np.ones(self.n), cx, cx * cx, cy, cx * cy, cy * cy)):
            np.cumsum(values, out=self._run[row, 1:])

    def over(self, start: int, stop: int) -> list[float]:
        """Sums of 1, x, xx, y, xy, yy over the points from start up to, not with, stop."""
        found: list[float] = (self._run[:, stop] - self._run[:, start]).tolist()
        return found

    def after(self, starts: IntArray) -> FloatArray:
        """The same from each start to the end of the curve."""
        return np.asarray(self._run[:, -1:] - self._run[:, starts])

    def place(self, x: float) -> int:
        """Index of the first point at or beyond x."""
        return int(self.x.searchsorted(x))

    def line(self, start: int, stop: int) -> Line:
        """Least-squares line through the points from start to stop."""
        n, sx, sxx, sy, sxy, _ = self.over(start, stop)
        spread = sxx - sx * sx / n
        slope = (sxy - sx * sy / n) / spread if spread > 0.0 else 0.0
        mean_x, mean_y = sx / n + self.x0, sy / n + self.y0
        return Line(slope, mean_y - slope * mean_x, int(n), mean_x, spread)

    def residual(self, start: int, stop: int) -> float:
        """Sum of squared residuals about that line."""
        n, sx, sxx, sy, sxy, syy = self.over(start, stop)
        spread = sxx - sx * sx / n
        rest = syy - sy * sy / n
        return max(rest - (sxy - sx * sy / n) ** 2 / spread, 0.0) if spread > 0.0 else max(rest, 0.0)
