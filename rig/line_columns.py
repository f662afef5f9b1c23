"""Columns of a board that only prints lines: which quantity in which unit, by their names.

A column is named by quantity and unit, as in `time_ms,force_counts,position_steps`; `-` is one to ignore. Whole
counts and steps are kept as they are. A quantity in a physical unit is kept as whole millionths of the unit it
was printed in, so that what the board printed can be had back exactly. Pure.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rig.errors import BadPlan

#: A physical quantity is stored as whole numbers of this share of its printed unit.
STORED_SHARE = Decimal(1_000_000)
#: Ignore what stands in this column.
IGNORED = "-"
#: Standard acceleration of gravity [m/s2], exact (3rd General Conference on Weights and Measures, 1901).
STANDARD_GRAVITY = Decimal("9.80665")

TIME = "time"
FORCE = "force"
POSITION = "position"
#: "extension" is what some boards call their position; it counts from wherever it began.
QUANTITIES = {"time": TIME, "force": FORCE, "position": POSITION, "extension": POSITION}

#: Microseconds in a unit of time.
TIME_UNITS = {"s": Decimal(1_000_000), "ms": Decimal(1000), "us": Decimal(1)}
#: Newtons in a unit of force; counts have none.
FORCE_UNITS = {
    "n": Decimal(1),
    "mn": Decimal("1e-3"),
    "un": Decimal("1e-6"),
    "cn": Decimal("1e-2"),
    "gf": STANDARD_GRAVITY / 1000,
    "g": STANDARD_GRAVITY / 1000,
    "kgf": STANDARD_GRAVITY,
    "counts": None,
}
#: Millimetres in a unit of length; steps have none.
POSITION_UNITS = {
    "mm": Decimal(1),
    "um": Decimal("1e-3"),
    "cm": Decimal(10),
    "m": Decimal(1000),
    "in": Decimal("25.4"),
    "steps": None,
}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its quantity, and what a printed number is multiplied by to become the stored whole number.

    `exact` says that a fraction would be a mistake (counts, steps). `quantity` is "" for a column to ignore.
    """

    quantity: str
    factor: Decimal = Decimal(1)
    exact: bool = False
    #: Newtons or millimetres in one stored unit; None for counts, steps, time.
    si_per_stored: float | None = None


@dataclass(frozen=True, slots=True)
class LineColumns:
    """All columns of a line, in order, with the text they were given as."""

    text: str
    columns: tuple[Column, ...]

    def of(self, quantity: str) -> Column | None:
        """The column of a quantity, if there is one."""
        return next((c for c in self.columns if c.quantity == quantity), None)


def parse_columns(text: str) -> LineColumns:
    """Read the names of columns, separated by commas. Raises BadPlan with the names there are."""
    names = [name.strip().lower() for name in text.split(",")]
    columns = tuple(_column(name) for name in names)
    found = [c.quantity for c in columns if c.quantity]
    for quantity in found:
        if found.count(quantity) > 1:
            raise BadPlan(f"The columns {text!r} give the {quantity} twice: put {IGNORED!r} in place of one.")
    if FORCE not in found:
        raise BadPlan(f"The columns {text!r} have no force: name it, for example force_counts or force_mn.")
    return LineColumns(",".join(names), columns)


def _column(name: str) -> Column:
    if name == IGNORED:
        return Column("")
    word, _, unit = name.partition("_")
    quantity = QUANTITIES.get(word)
    if quantity == TIME and unit in TIME_UNITS:
        return Column(TIME, TIME_UNITS[unit])
    if quantity == FORCE and unit in FORCE_UNITS:
        return _measured(FORCE, FORCE_UNITS[unit])
    if quantity == POSITION and unit in POSITION_UNITS:
        return _measured(POSITION, POSITION_UNITS[unit])
    raise BadPlan(
        f"There is no column {name!r}: use time_{_either(TIME_UNITS)}, force_{_either(FORCE_UNITS)}, "
        f"position_{_either(POSITION_UNITS)}, or {IGNORED} for one to ignore."
    )


def _measured(quantity: str, si_per_unit: Decimal | None) -> Column:
    if si_per_unit is None:
        return Column(quantity, exact=True)
    return Column(quantity, STORED_SHARE, si_per_stored=float(si_per_unit / STORED_SHARE))


def _either(units: dict[str, Decimal] | dict[str, Decimal | None]) -> str:
    return "|".join(units)
