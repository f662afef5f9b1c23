"""The points of a curve in order, with the extents of runs of them kept at several levels.

A run that is narrower than one column of dots is drawn as one upright stroke from its lowest to its highest
value, so that a million points cost what a few hundred do, no peak is lost, and appending stays cheap.
Knows numbers only; x need not grow from point to point.
"""

from __future__ import annotations

import heapq
import math
from array import array
from collections.abc import Iterable, Iterator

#: Points (or runs) joined into one run of the next level.
FAN = 4


class Level:
    """Extents of complete runs, one entry a run."""

    __slots__ = ("x_high", "x_low", "y_high", "y_low")

    def __init__(self) -> None:
        self.x_low, self.x_high = array("d"), array("d")
        self.y_low, self.y_high = array("d"), array("d")

    def __len__(self) -> int:
        return len(self.x_low)

    def add(self, x_low: float, x_high: float, y_low: float, y_high: float) -> None:
        """One more run."""
        self.x_low.append(x_low)
        self.x_high.append(x_high)
        self.y_low.append(y_low)
        self.y_high.append(y_high)


class Points:
    """A curve that grows at its end. `levels[k]` holds runs of FAN ** (k + 1) points."""

    __slots__ = ("levels", "x", "x_high", "x_low", "y", "y_high", "y_low")

    def __init__(self, xs: Iterable[float] = (), ys: Iterable[float] = ()) -> None:
        self.x, self.y = array("d"), array("d")
        self.levels: list[Level] = []
        self.x_low = self.y_low = math.inf
        self.x_high = self.y_high = -math.inf
        self.extend(xs, ys)

    def __len__(self) -> int:
        return len(self.x)

    def extend(self, xs: Iterable[float], ys: Iterable[float]) -> None:
        """Append points; one that is not finite in both coordinates is left out."""
        new_x, new_y = _finite(array("d", xs), array("d", ys))
        if not new_x:
            return
        self.x.extend(new_x)
        self.y.extend(new_y)
        self.x_low, self.x_high = _wider(self.x_low, self.x_high, new_x)
        self.y_low, self.y_high = _wider(self.y_low, self.y_high, new_y)
        self._complete_runs()

    def _complete_runs(self) -> None:
        """Close every run that has all its points, level by level."""
        x_low, x_high, y_low, y_high = self.x, self.x, self.y, self.y
        for depth in range(64):
            if len(self.levels) == depth:
                if len(x_low) < FAN:
                    return
                self.levels.append(Level())
            level = self.levels[depth]
            for start in range(len(level) * FAN, len(x_low) - FAN + 1, FAN):
                end = start + FAN
                level.add(
                    min(x_low[start:end]), max(x_high[start:end]), min(y_low[start:end]), max(y_high[start:end])
                )
            x_low, x_high, y_low, y_high = level.x_low, level.x_high, level.y_low, level.y_high

    def roots(self) -> Iterator[tuple[int, int]]:
        """Runs (depth, index) that cover the curve in order, each point once; a point is a run of depth 0."""
        first = 0
        for depth in range(len(self.levels), -1, -1):
            count = self._count(depth)
            yield from ((depth, index) for index in range(first, count))
            first = count * FAN

    def nearest(self, x: float) -> int | None:
        """The first point whose x comes closest to `x`; None where there is no point."""
        heap = [self._entry(depth, index, x) for depth, index in self.roots()]
        heapq.heapify(heap)
        while heap:
            _, _, depth, index = heapq.heappop(heap)
            if depth == 0:
                return index
            for child in range(index * FAN, (index + 1) * FAN):
                heapq.heappush(heap, self._entry(depth - 1, child, x))
        return None

    def _count(self, depth: int) -> int:
        """Entries at a depth: points at 0, runs above."""
        return len(self.x) if depth == 0 else len(self.levels[depth - 1])

    def _entry(self, depth: int, index: int, x: float) -> tuple[float, int, int, int]:
        """How far `x` lies from a point or from a run's extent (0 inside it), its first point, and the run."""
        if depth == 0:
            return abs(self.x[index] - x), index, 0, index
        level = self.levels[depth - 1]
        distance = max(level.x_low[index] - x, x - level.x_high[index], 0.0)
        return distance, index * FAN**depth, depth, index


def _wider(low: float, high: float, values: array[float]) -> tuple[float, float]:
    """Extents that also hold `values`."""
    least, greatest = min(values), max(values)
    return min(low, least), max(high, greatest)


def _finite(xs: array[float], ys: array[float]) -> tuple[array[float], array[float]]:
    """Both columns without the points that are not finite, at equal length."""
    if len(xs) == len(ys) and math.isfinite(sum(xs)) and math.isfinite(sum(ys)):
        return xs, ys
    pairs = [(x, y) for x, y in zip(xs, ys, strict=False) if math.isfinite(x) and math.isfinite(y)]
    return array("d", (x for x, _ in pairs)), array("d", (y for _, y in pairs))
