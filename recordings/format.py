"""What a recording holds: the header, the rows, the marks and the end, as frozen values.

Raw counts, steps and board ticks are what is stored; newtons and millimetres are computed from them with the
calibration in the header and never stored instead of them. The line syntax is in `lines`.
"""

from __future__ import annotations

from array import array
from dataclasses import dataclass, field

FORMAT_NAME = "strandbench-pull"
FORMAT_VERSION = 1
SUFFIX = ".pull.csv"
COLUMNS = ("t_us", "counts", "steps", "flags")

JsonValue = str | int | float | bool | None | list["JsonValue"] | dict[str, "JsonValue"]


@dataclass(frozen=True, slots=True)
class RigInfo:
    """Which rig made the recording, as far as it told."""

    name: str
    board_id: int | None = None
    firmware: str = ""
    boot_count: int | None = None
    sensor_bits: int | None = None
    nominal_rate_hz: float | None = None
    force_range_n: float | None = None
    port: str = ""
    #: Column names as given for a board that only prints lines; empty for a rig that speaks the wire.
    line_columns: str = ""


@dataclass(frozen=True, slots=True)
class ForceCalibration:
    """Newtons from counts: F = n_per_count x + n_per_count2 x**2, with x the counts from the pull's zero.

    `kind` is "weights" (a real calibration), "nominal" (the board's own claim: results are marked
    uncalibrated), "simulated" (the truth of the model) or "printed" (a board that prints force itself).
    Standard uncertainties; `cov` is the covariance of the two coefficients; `u_rel` is what is common to the
    whole scale (masses, gravity, temperature), on top of the fit. Dates are ISO 8601 (2026-11-25).
    """

    n_per_count: float
    u_n_per_count: float = 0.0
    n_per_count2: float = 0.0
    u_n_per_count2: float = 0.0
    cov: float = 0.0
    u_rel: float = 0.0
    kind: str = "nominal"
    date: str = ""
    due: str = ""
    person: str = ""
    identifier: str = ""


@dataclass(frozen=True, slots=True)
class ExtensionCalibration:
    """Millimetres from steps, and the rig's own give.

    `u_rel` is the relative standard uncertainty of `mm_per_step`, `u_mm` what does not grow with length
    (backlash, step error), `compliance_mm_per_n` the rig's give with standard uncertainty `u_compliance_mm_per_n`.
    """

    mm_per_step: float
    u_rel: float = 0.0
    u_mm: float = 0.0
    compliance_mm_per_n: float = 0.0
    u_compliance_mm_per_n: float = 0.0
    kind: str = "nominal"
    date: str = ""
    due: str = ""
    person: str = ""
    identifier: str = ""


@dataclass(frozen=True, slots=True)
class Specimen:
    """The strand: a reference code (never a name), where it grew, what it went through, how it was mounted."""

    gauge_length_mm: float
    u_gauge_length_mm: float = 0.25
    reference: str = ""
    strand: str = ""
    zone: str = ""
    history: str = ""
    #: "dry", "wet" or "" where nobody said.
    condition: str = ""
    diameter_um: float | None = None
    u_diameter_um: float | None = None
    #: Cross-section where it was found otherwise than as a circle of `diameter_um`.
    area_um2: float | None = None
    u_area_um2: float | None = None
    area_method: str = ""
    linear_density_tex: float | None = None
    u_linear_density_tex: float | None = None
    series: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Method:
    """How it was pulled. `kind`: "pull_to_break", "stretch_return", "proof", "hold" or "by_hand"."""

    kind: str = "pull_to_break"
    speed_mm_min: float | None = None
    force_limit_n: float | None = None
    travel_limit_mm: float | None = None
    guideline_pct: float = 20.0
    pretension_n: float | None = None
    target_strain_pct: float | None = None
    hold_s: float | None = None
    rest_s: float | None = None
    temperature_c: float | None = None
    humidity_pct: float | None = None
    operator: str = ""


@dataclass(frozen=True, slots=True)
class Header:
    """First line of a recording."""

    recorded_at: str
    simulated: bool
    software: str
    rig: RigInfo
    specimen: Specimen
    method: Method
    #: None where the quantity can't be had: the reason is said by whoever needs it.
    force_calibration: ForceCalibration | None = None
    extension_calibration: ExtensionCalibration | None = None
    #: Strand model, seed, faults and time scale of a simulated pull; empty for a real one.
    simulation: dict[str, JsonValue] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that happened between two rows; `row` is how many rows stand before it.

    Kinds in use: "zeroed" (data: counts, n, sd_counts), "started", "gap" (lost), "break_seen", "stopped"
    (reason), "clamp_break" (said by the person), "note" (text), "phase" (name, in pulls of several parts).
    """

    kind: str
    row: int = 0
    t_us: int | None = None
    text: str = ""
    data: dict[str, JsonValue] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class End:
    """Last line: why the recording ended, how many rows it has, and the checksum of all before it.

    Reasons in use: "break", "done", "force_limit", "travel_limit", "limit_switch", "emergency_stop",
    "sensor_fault", "silence", "key", "link_lost", "board_reset", "error".
    """

    reason: str
    rows: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Rows:
    """The samples: four columns of equal length, 64-bit integers. `t_us` is unwrapped board time [us]."""

    t_us: array[int]
    counts: array[int]
    steps: array[int]
    flags: array[int]

    def __len__(self) -> int:
        return len(self.t_us)


@dataclass(frozen=True, slots=True)
class Recording:
    """A recording as read. `end` is None where the file stops before its end line (incomplete)."""

    name: str
    header: Header
    rows: Rows
    marks: tuple[Mark, ...]
    end: End | None
    #: True where the end line's checksum or row count does not fit what stands before it.
    altered: bool = False

    @property
    def complete(self) -> bool:
        """Whether the recording has its end and fits it."""
        return self.end is not None and not self.altered
