"""The air at the bench against the standard atmosphere for testing textile fibres. Pure.

ISO 139:2005 (Textiles - Standard atmospheres for conditioning and testing): 20.0 °C ± 2.0 °C and 65.0 % ± 4.0 %
relative humidity. Hair takes up water from the air, and water changes how it stretches.
"""

from __future__ import annotations

from dataclasses import dataclass

from tui import wording_lab as words
from tui.format import plain
from tui.lab.plan import Air


@dataclass(frozen=True, slots=True)
class Span:
    """A value and how far from it is still within the standard."""

    value: float
    tolerance: float

    def holds(self, value: float) -> bool:
        """Whether a value is within; the limits themselves are."""
        return abs(value - self.value) <= self.tolerance + 1e-9


#: ISO 139:2005, 3.1: standard atmosphere, temperature [°C] and relative humidity [%].
TEMPERATURE_C = Span(20.0, 2.0)
HUMIDITY_PCT = Span(65.0, 4.0)

#: Readings that a room can have; anything else is a slip of the finger.
POSSIBLE_C, POSSIBLE_PCT = (-10.0, 60.0), (0.0, 100.0)


def air_text(air: Air) -> str:
    """The readings in words."""
    parts = [] if air.temperature_c is None else [plain(air.temperature_c, "°C")]
    parts += [] if air.humidity_pct is None else [words.HUMIDITY.format(value=plain(air.humidity_pct))]
    return ", ".join(parts)


def air_problem(air: Air) -> str:
    """What is outside of the standard or was not read, as a sentence; "" where all is within."""
    missing = [
        name
        for name, value in ((words.TEMPERATURE, air.temperature_c), (words.HUMIDITY_NAME, air.humidity_pct))
        if value is None
    ]
    outside = []
    if air.temperature_c is not None and not TEMPERATURE_C.holds(air.temperature_c):
        outside.append(words.OUT_OF_RANGE_C.format(value=plain(air.temperature_c, "°C")))
    if air.humidity_pct is not None and not HUMIDITY_PCT.holds(air.humidity_pct):
        outside.append(words.OUT_OF_RANGE_PCT.format(value=plain(air.humidity_pct, "%")))
    sentences = [words.OUT_OF_RANGE.format(what=words.AND.join(outside))] if outside else []
    sentences += [words.NOT_READ.format(what=words.AND.join(missing))] if missing else []
    return " ".join(sentences)
