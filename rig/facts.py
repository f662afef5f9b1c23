"""What a rig can do, in the units people use, from what its board says of itself. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from firmware_protocol.messages import Identity
from firmware_protocol.vocabulary import Ability
from rig.errors import NotARig


@dataclass(frozen=True, slots=True)
class RigFacts:
    """A rig as it describes itself."""

    name: str
    board_id: int
    firmware: str
    boot_count: int
    sensor_bits: int
    rate_hz: float
    steps_per_mm: float
    travel_mm: float
    max_speed_mm_min: float
    force_range_n: float
    counts_per_n: float
    simulated: bool
    has_limit_switches: bool
    has_emergency_stop: bool

    @property
    def full_scale_counts(self) -> int:
        """The end of the amplifier's range on one side [count]."""
        return int(2 ** (self.sensor_bits - 1)) - 1

    def steps(self, mm: float) -> int:
        """Whole motor steps in a length."""
        return round(mm * self.steps_per_mm)

    def mm(self, steps: float) -> float:
        """The length of a number of steps."""
        return steps / self.steps_per_mm

    def msteps_s(self, speed_mm_min: float) -> int:
        """A speed as the board wants it [0.001 step/s], at least the slowest it can be told."""
        return max(1, round(speed_mm_min / 60.0 * self.steps_per_mm * 1000.0))


def facts_of(identity: Identity) -> RigFacts:
    """Read an Identity. Raises NotARig where the board claims what no rig can be."""
    counted = {
        "steps per metre": identity.steps_per_m,
        "travel": identity.travel_steps,
        "highest speed": identity.max_speed_steps_s,
        "force range": identity.force_range_mn,
        "counts per newton": identity.counts_per_n,
        "rate of readings": identity.rate_mhz,
    }
    missing = [name for name, value in counted.items() if value == 0]
    if missing or not 8 <= identity.sensor_bits <= 32:
        what = ", ".join(missing) or "a usable resolution of its force amplifier"
        raise NotARig(f"The board does not say its {what}: set it in the board's configuration and flash it again.")
    steps_per_mm = identity.steps_per_m / 1000.0
    return RigFacts(
        name=identity.name,
        board_id=identity.board_id,
        firmware=f"{identity.firmware >> 8}.{identity.firmware & 0xFF}",
        boot_count=identity.boot_count,
        sensor_bits=identity.sensor_bits,
        rate_hz=identity.rate_mhz / 1000.0,
        steps_per_mm=steps_per_mm,
        travel_mm=identity.travel_steps / steps_per_mm,
        max_speed_mm_min=identity.max_speed_steps_s / steps_per_mm * 60.0,
        force_range_n=identity.force_range_mn / 1000.0,
        counts_per_n=float(identity.counts_per_n),
        simulated=bool(identity.abilities & Ability.SIMULATED),
        has_limit_switches=bool(identity.abilities & Ability.LIMIT_SWITCHES),
        has_emergency_stop=bool(identity.abilities & Ability.EMERGENCY_STOP),
    )
