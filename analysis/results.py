"""What the analysis of one pull says: measured quantities with uncertainty, or the reason why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Measured:
    """A value with its standard uncertainty, in the unit that its name ends in."""

    value: float
    u: float

    def to_json(self) -> dict[str, Any]:
        """As the contract prints it."""
        return {"value": self.value, "u": self.u}


@dataclass(frozen=True, slots=True)
class NotMeasured:
    """Why there is no value, in words a person at the rig can act on."""

    reason: str

    def to_json(self) -> dict[str, Any]:
        """As the contract prints it."""
        return {"not_measured": self.reason}


Quantity = Measured | NotMeasured


@dataclass(frozen=True, slots=True)
class Flag:
    """Something about the pull that the reader of its result must know."""

    code: str
    message: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """The pull against the guideline. `verdict_class`: "meets", "below", "too_close" or "no_verdict"."""

    verdict_class: str
    guideline_pct: float
    #: Probability that the strand's elongation at break is at least the guideline; None where it can't be said.
    probability_meets: float | None
    statement: str

    def to_json(self) -> dict[str, Any]:
        """As the contract prints it."""
        return {
            "class": self.verdict_class,
            "guideline_pct": self.guideline_pct,
            "probability_meets": self.probability_meets,
            "statement": self.statement,
        }


@dataclass(frozen=True, slots=True)
class Curve:
    """The corrected curve: strain [%] from the onset, force [N] from the true zero, stress [MPa] where known.

    Arrays of equal length, from the onset to the break (or to the end, where none was seen).
    `source_index` says which sample of the trace each point is.
    """

    strain_pct: FloatArray
    force_n: FloatArray
    stress_mpa: FloatArray | None
    source_index: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Region:
    """A stretch of the curve: "elastic", "yield" or "post_yield", from and to a strain [%]."""

    name: str
    start_pct: float
    end_pct: float


class Part(Protocol):
    """What a pull other than to the break shows besides (`analysis.kinds`)."""

    @property
    def kind(self) -> str:
        """Kind of the pull, as its method names it."""

    @property
    def statement(self) -> str:
        """What it showed, in words."""

    @property
    def quantities(self) -> dict[str, Quantity]:
        """What was measured, by names that end in their units."""

    def to_json(self) -> dict[str, Any]:
        """As `--json` prints it."""


#: Field names of the quantities in a result, in the order they are printed.
QUANTITIES = (
    "elongation_at_break_pct",
    "force_max_n",
    "force_at_break_n",
    "stress_at_break_mpa",
    "initial_modulus_gpa",
    "yield_strain_pct",
    "yield_stress_mpa",
    "post_yield_strain_pct",
    "work_to_20pct_mj_m3",
    "work_to_break_mj_m3",
    "work_to_break_uj",
)


@dataclass(frozen=True, slots=True)
class PullResult:
    """One pull, analysed. `outcome`: "broke", "slipped", "clamp_break", "no_break", "stopped" or "bad_test"."""

    recording: str
    complete: bool
    simulated: bool
    outcome: str
    #: The furthest strain that was certainly reached [%]; None where strain can't be had.
    elongation_reached_pct: float | None
    elongation_at_break_pct: Quantity
    force_max_n: Quantity
    force_at_break_n: Quantity
    stress_at_break_mpa: Quantity
    initial_modulus_gpa: Quantity
    yield_strain_pct: Quantity
    yield_stress_mpa: Quantity
    post_yield_strain_pct: Quantity
    work_to_20pct_mj_m3: Quantity
    work_to_break_mj_m3: Quantity
    work_to_break_uj: Quantity
    verdict: Verdict
    flags: tuple[Flag, ...]
    curve: Curve | None = None
    regions: tuple[Region, ...] = ()
    #: Force at break over linear density; None where nobody weighed the strand.
    tenacity_cn_per_tex: Quantity | None = None
    #: What the kind of pull shows besides; None for a pull to the break.
    part: Part | None = None

    @property
    def quantities(self) -> dict[str, Quantity]:
        """Every quantity by its name, in the order they are printed."""
        found: dict[str, Quantity] = {name: getattr(self, name) for name in QUANTITIES}
        if self.tenacity_cn_per_tex is not None:
            found["tenacity_cn_per_tex"] = self.tenacity_cn_per_tex
        return found

    def to_json(self) -> dict[str, Any]:
        """The object that `--json` prints (contract): units in the names, no arrays."""
        out: dict[str, Any] = {
            "recording": self.recording,
            "complete": self.complete,
            "simulated": self.simulated,
            "outcome": self.outcome,
        }
        for name, quantity in self.quantities.items():
            out[name] = quantity.to_json()
            if name == "elongation_at_break_pct":
                out["elongation_reached_pct"] = self.elongation_reached_pct
        out["verdict"] = self.verdict.to_json()
        out["flags"] = [{"code": f.code, "message": f.message} for f in self.flags]
        if self.part is not None:
            out |= {"kind": self.part.kind, self.part.kind: self.part.to_json()}
        return out
