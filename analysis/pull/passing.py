"""The region that a strand is passing now, said while it is still being pulled.

Owns a running guess for whoever watches; the regions of a result are fitted to the whole curve afterwards
(`regions`) and are the ones that count. Knows no calibration and no screens, and needs the standard library only.

Method
------
The mean force over each bin of strain gives a slope from bin to bin. The steepest one so far stands for the elastic
part. Where the slope over a short way falls well below that, the strand yields; where the slope over a longer way
has risen well above the flattest such way of the yield region, it is past it. A place is named only after it was
passed: the yield region by about one percent of strain, the post-yield region by two or three.
"""

from __future__ import annotations

from collections.abc import Iterable

#: Strain over which the force is averaged [%].
BIN_PCT = 0.5
#: Force below which a strand only loses its slack [N]: single strands yield at 0.1 N and more.
TAUT_N = 0.02
#: Bins over which yielding is seen, and the share of the steepest slope below which it is.
YIELD_BINS, YIELD_SHARE = 2, 0.35
#: Bins over which stiffening is seen, and how many times steeper than the flattest such way it must be.
STIFF_BINS, STIFF_TIMES = 6, 1.8
#: A slope also counts as risen only above this share of the steepest one: noise on a level plateau does not.
STIFF_SHARE = 0.05
#: Least width of the yield region [bins]: what stiffens sooner is a wiggle.
LEAST_YIELD_BINS = 12

REGIONS = ("elastic", "yield", "post_yield")


class Passing:
    """Take in a curve as it grows; `region` is the name of where it is, "" before the strand is taut."""

    def __init__(self) -> None:
        self.region = ""
        #: Strain at which each region was entered, as far as was seen [%].
        self.entered: dict[str, float] = {}
        self._means: list[float] = []
        self._bin: int | None = None
        self._sum, self._count = 0.0, 0
        self._steepest = 0.0
        self._flattest = float("inf")
        self._yield_from = 0

    def take_in(self, strain_pct: Iterable[float], force_n: Iterable[float]) -> None:
        """Points in the order in which they were measured. Strain that goes back adds nothing."""
        for strain, force in zip(strain_pct, force_n, strict=True):
            here = int(strain // BIN_PCT)
            if self._bin is not None and here > self._bin:
                self._close(self._bin)
            if self._bin is None or here >= self._bin:
                self._bin = here
                self._sum += force
                self._count += 1

    def _close(self, number: int) -> None:
        """A bin is full: look where the curve is."""
        self._means.append(self._sum / self._count)
        self._sum, self._count = 0.0, 0
        if not self.region:
            self._see_taut(number)
        elif self.region == "elastic":
            self._see_yield(number)
        elif self.region == "yield":
            self._see_stiffening(number)

    def _enter(self, region: str, number: int) -> None:
        self.region = region
        self.entered[region] = max(number, 0) * BIN_PCT

    def _slope(self, bins: int) -> float | None:
        """Mean rise per bin over the last `bins`."""
        if len(self._means) <= bins:
            return None
        return (self._means[-1] - self._means[-1 - bins]) / bins

    def _see_taut(self, number: int) -> None:
        if self._means[-1] >= TAUT_N:
            self._enter("elastic", number)

    def _see_yield(self, number: int) -> None:
        self._steepest = max(self._steepest, self._slope(1) or 0.0)
        slope = self._slope(YIELD_BINS)
        if slope is not None and self._steepest > 0 and slope < YIELD_SHARE * self._steepest:
            self._yield_from = len(self._means)
            self._enter("yield", number - YIELD_BINS)

    def _see_stiffening(self, number: int) -> None:
        inside = len(self._means) - self._yield_from
        slope = self._slope(STIFF_BINS)
        if slope is None or inside < STIFF_BINS:
            return
        self._flattest = min(self._flattest, slope)
        risen = max(STIFF_TIMES * self._flattest, STIFF_SHARE * self._steepest)
        if inside >= LEAST_YIELD_BINS and slope > risen:
            self._enter("post_yield", number)
