"""Regions named while the strand is still being pulled: against curves whose regions are known."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import pairwise

import pytest

from analysis.pull.passing import REGIONS, Passing

Corners = Sequence[tuple[float, float]]

# Corners of joined straight lines: strain [%], force [N]. Yield from about 2 %, post-yield from 25-30 % and break
# at 40-50 % (Feughelman, J. Soc. Cosmet. Chem. 33 (1982) 396); forces of one strand of 70 um.
SOUND: Corners = ((0, 0.0), (2.5, 0.40), (28, 0.52), (48, 1.0))
DAMAGED: Corners = ((0, 0.0), (2.5, 0.15), (15, 0.19))
NEVER_STIFFENS: Corners = ((0, 0.0), (2.5, 0.40), (90, 0.75))
LEVEL: Corners = ((0, 0.0), (2.5, 0.40), (40, 0.40))


def curve(
    corners: Corners, per_pct: int, noise_n: float = 0.0, slack_pct: float = 0.0
) -> list[tuple[float, float]]:
    dice = random.Random(3)
    points = [(number / per_pct, 0.0) for number in range(round(slack_pct * per_pct))]
    for (x0, y0), (x1, y1) in pairwise(corners):
        count = round((x1 - x0) * per_pct)
        points += [(slack_pct + x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count) for i in range(count)]
    return [(x, y + dice.gauss(0.0, noise_n)) for x, y in points]


def passed(points: Sequence[tuple[float, float]]) -> dict[str, float]:
    passing = Passing()
    for x, y in points:
        passing.take_in([x], [y])
    return passing.entered


@pytest.mark.parametrize("per_pct", [5, 20, 80, 1000])
@pytest.mark.parametrize("slack_pct", [0.0, 3.25])
@pytest.mark.parametrize("noise_n", [0.0, 0.001])
def test_each_region_is_named_soon_after_it_was_entered(per_pct: int, slack_pct: float, noise_n: float) -> None:
    entered = passed(curve(SOUND, per_pct, noise_n, slack_pct))
    assert list(entered) == list(REGIONS)
    assert entered["elastic"] == pytest.approx(slack_pct, abs=0.5)
    assert entered["yield"] == pytest.approx(slack_pct + 2.5, abs=1.0)
    assert slack_pct + 28.0 <= entered["post_yield"] <= slack_pct + 31.0


@pytest.mark.parametrize("corners", [DAMAGED, NEVER_STIFFENS, LEVEL], ids=["damaged", "never stiffens", "level"])
@pytest.mark.parametrize("noise_n", [0.0, 0.001])
def test_no_region_is_named_that_is_not_there(corners: Corners, noise_n: float) -> None:
    assert list(passed(curve(corners, 80, noise_n))) == ["elastic", "yield"]


def test_nothing_is_named_before_the_strand_is_taut() -> None:
    assert passed([(x / 10, 0.001 * (-1) ** x) for x in range(400)]) == {}
    assert passed([]) == {}


def test_batches_are_as_good_as_single_points() -> None:
    points = curve(SOUND, 40, 0.002)
    at_once = Passing()
    at_once.take_in([x for x, _ in points], [y for _, y in points])
    assert at_once.entered == passed(points)


def test_going_back_adds_nothing() -> None:
    there = [point for point in curve(SOUND, 40) if point[0] < 12]
    assert passed(there + there[::-1] + there) == passed(there)


@pytest.mark.parametrize("strand", ["virgin", "lightened", "wet", "over-processed", "never-breaking"])
def test_it_agrees_with_the_regions_of_the_result(strand: str) -> None:
    """On the demonstration recordings' kinds of strand: the same regions, at about the same strain."""
    from importlib import resources
    from pathlib import Path

    from analysis.analyse import analyse
    from analysis.from_recording import trace_from_recording
    from analysis.guideline import load_guideline
    from recordings.reader import read_recording

    part = {"wet": "virgin_wet", "never-breaking": "wire_never_broke"}.get(strand, f"{strand}_crown")
    folder = Path(str(resources.files("recordings.demo")))
    paths = sorted(folder.glob(f"*{part}*.pull.csv"))
    assert paths
    for path in paths:
        result = analyse(trace_from_recording(read_recording(path)), load_guideline())
        assert result.curve is not None
        entered = passed(list(zip(result.curve.strain_pct, result.curve.force_n, strict=True)))
        assert list(entered) == [region.name for region in result.regions]
        for region in result.regions:
            assert entered[region.name] == pytest.approx(region.start_pct, abs=1.5), (path.name, region.name)
