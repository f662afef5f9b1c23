"""Simulated rigs with a hook, for the tests of calibrations, and readings of an invented cell."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rig.simulated.server import serve
from rig.simulated.settings import SimulationSettings
from tests.tui.rigs import FASTER

#: Where simulated rigs stand, as a person gives it.
PLACE = ("--latitude", "51.5", "--height", "30")
#: Up and down twice, as `calibrate force --weights 10,20,50,100` asks for.
UP_AND_DOWN = (0, 10, 20, 50, 100, 50, 20, 10, 0, 10, 20, 50, 100, 50, 20, 10, 0)


@contextmanager
def hook(*masses_g: float, strand: str = "hook", seed: int = 1) -> Iterator[str]:
    """A rig whose simulated person hangs these weights, one for each level taken; gives its address."""
    settings = SimulationSettings(
        strand=strand, seed=seed, time_scale=FASTER, hang_g=tuple(float(m) for m in masses_g)
    )
    with serve(settings) as server:
        yield server.url


def readings(path: Path, *rows: tuple[float, float], scale: float = 35_000.0) -> Path:
    """A table of mass and counts: mass times `scale`, plus what each row is off by."""
    lines = ["mass_g,counts,sd_counts,n", *(f"{mass},{8000 + mass * scale + off},150,100" for mass, off in rows)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
