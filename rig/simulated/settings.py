"""What a simulated rig is told when it is made. Knows nothing of how it works inside."""

from __future__ import annotations

from dataclasses import dataclass

from recordings.format import JsonValue
from rig.simulated.faults import Fault

#: Ranges that the model was made for; outside of them it would give plausible nonsense.
GAUGE_LENGTH_RANGE_MM = (5.0, 200.0)
HUMIDITY_RANGE_PCT = (10.0, 95.0)
RATE_RANGE_HZ = (5.0, 2000.0)
TIME_SCALE_RANGE = (0.01, 1000.0)
SLACK_RANGE_MM = (-2.0, 10.0)
CLOCK_RANGE_PPM = (-50_000.0, 50_000.0)
WEIGHT_RANGE_G = (0.0, 1000.0)

#: The atmosphere that strands are conditioned in: ISO 139:2005.
STANDARD_HUMIDITY_PCT = 65.0


@dataclass(frozen=True, slots=True)
class SimulationSettings:
    """A simulated rig: which strands, which faults, how fast.

    `slack_mm` None draws a slack for every strand; a negative one mounts them under tension. `time_scale` is
    device time over wall time. `clock_ppm` is how much the board's clock is fast. Raises ValueError, with a
    sentence for a person, where a number is out of the model's range.
    """

    strand: str = "virgin"
    seed: int = 1
    faults: tuple[Fault, ...] = ()
    time_scale: float = 1.0
    rate_hz: float = 80.0
    gauge_length_mm: float = 30.0
    slack_mm: float | None = None
    humidity_pct: float = STANDARD_HUMIDITY_PCT
    clock_ppm: float = 0.0
    #: Weights that hang on the cell's hook one after the other, the next each time readings were taken [g].
    hang_g: tuple[float, ...] = ()
    #: What the same strands went through, rested ever since, before they were mounted (`catalogue.TREATMENTS`).
    treatment: str = ""

    def __post_init__(self) -> None:
        inside("gauge length", self.gauge_length_mm, GAUGE_LENGTH_RANGE_MM, "mm")
        inside("humidity", self.humidity_pct, HUMIDITY_RANGE_PCT, "%")
        inside("rate", self.rate_hz, RATE_RANGE_HZ, "readings/s")
        inside("time scale", self.time_scale, TIME_SCALE_RANGE, "times real time")
        inside("clock error", self.clock_ppm, CLOCK_RANGE_PPM, "ppm")
        for mass_g in self.hang_g:
            inside("weight", mass_g, WEIGHT_RANGE_G, "g")
        if self.slack_mm is not None:
            inside("slack", self.slack_mm, SLACK_RANGE_MM, "mm")

    def has(self, fault_name: str) -> bool:
        """Whether a fault of that name is to come."""
        return any(fault.name == fault_name for fault in self.faults)

    def to_header(self) -> dict[str, JsonValue]:
        """What a recording's header says about the simulation."""
        return {
            "strand": self.strand,
            "seed": self.seed,
            "faults": [str(fault) for fault in self.faults],
            "time_scale": self.time_scale,
            "rate_hz": self.rate_hz,
            "gauge_length_mm": self.gauge_length_mm,
            "slack_mm": self.slack_mm,
            "humidity_pct": self.humidity_pct,
            "hang_g": list(self.hang_g),
            "treatment": self.treatment,
        }


def inside(what: str, value: float, limits: tuple[float, float], unit: str) -> None:
    """Raises ValueError, with a sentence for a person, for a number out of the model's range."""
    low, high = limits
    if not low <= value <= high:
        raise ValueError(f"the simulated {what} must be from {low:g} to {high:g} {unit}, not {value:g}")
