"""What a pull other than to the break has to say beside the results that every pull has.

One shape for all kinds, so that commands, screens and figures need to know it once.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from analysis.results import Quantity
from analysis.trace import FloatArray


@dataclass(frozen=True, slots=True)
class KindLine:
    """A line for a figure: what it shows, and its points."""

    name: str
    x: FloatArray
    y: FloatArray


@dataclass(frozen=True, slots=True)
class KindResult:
    """The result of one kind of pull.

    `quantities` go by names that end in their units. `facts` are what was set or chosen (times, the law of a fit).
    `lines` are for figures: force [N] over strain [%], or over time [s] for a hold.
    """

    kind: str
    statement: str
    quantities: dict[str, Quantity]
    facts: dict[str, str | float | None] = field(default_factory=dict)
    lines: tuple[KindLine, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """As `--json` prints it, under the name of the kind."""
        measured = {name: quantity.to_json() for name, quantity in self.quantities.items()}
        return {**self.facts, **measured, "statement": self.statement}
