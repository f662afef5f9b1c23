"""Units of other people's tables: what they are called and what they are in newtons, millimetres and seconds."""

from __future__ import annotations

import re
from dataclasses import dataclass

#: Standard gravity, exact (3rd General Conference on Weights and Measures, 1901) [m/s²].
STANDARD_GRAVITY = 9.80665
#: The international pound of 1959, exact [kg].
POUND_KG = 0.45359237
#: The international inch of 1959, exact [mm].
INCH_MM = 25.4


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its symbol, what it measures, and its size in N, mm, s or 1."""

    symbol: str
    dimension: str
    factor: float


def _units(dimension: str, **names: tuple[float, str]) -> dict[str, Unit]:
    """Every name a unit goes by, the symbol first."""
    found: dict[str, Unit] = {}
    for factor, spellings in names.values():
        symbol, *others = spellings.split()
        found |= {name: Unit(symbol, dimension, factor) for name in (symbol, *others)}
    return found


UNITS = {
    **_units(
        "force",
        n=(1.0, "N newton newtons"),
        mn=(1e-3, "mN millinewton millinewtons"),
        cn=(1e-2, "cN centinewton"),
        kn=(1e3, "kN kilonewton"),
        un=(1e-6, "µN uN"),
        gf=(STANDARD_GRAVITY * 1e-3, "gf g gram grams gramm gramas gramos pond"),
        kgf=(STANDARD_GRAVITY, "kgf kg kp"),
        lbf=(POUND_KG * STANDARD_GRAVITY, "lbf lb lbs"),
        ozf=(POUND_KG / 16 * STANDARD_GRAVITY, "ozf oz"),
    ),
    **_units(
        "length",
        mm=(1.0, "mm millimeter millimeters millimetre millimetres"),
        um=(1e-3, "µm um micron microns"),
        cm=(10.0, "cm"),
        m=(1000.0, "m"),
        inch=(INCH_MM, "in inch inches"),
    ),
    **_units(
        "time",
        s=(1.0, "s sec secs second seconds sek sekunden"),
        ms=(1e-3, "ms msec"),
        us=(1e-6, "µs us usec"),
        minute=(60.0, "min minutes"),
        hour=(3600.0, "h"),
    ),
    **_units("ratio", percent=(1e-2, "% percent pct"), permille=(1e-3, "‰"), one=(1.0, "mm/mm 1 - m/m in/in")),
}
FOLDED = {name.casefold(): unit for name, unit in UNITS.items()}
#: Read in capitals this is the meganewton, which no such rig has; in other spellings the millinewton is meant.
REFUSED = {"MN"}
#: Both characters that are drawn as micro.
MICRO = {ord("\u03bc"): "\u00b5"}

IN_BRACKETS = re.compile(r"[\[(]\s*([^\[\]()]*?)\s*[\])]")
#: At the end of a title: "force_mN", "Force..N.", "load N", "Kraft in N", "Kraft / N"; then "F/N"; then "forceN".
SUFFIX = re.compile(r"^(.*[^\s._])[\s._]+([^\s._\d-]+)\.*$")
SLASH = re.compile(r"^([^/]*\w)/(\S+)$")
CAMEL = re.compile(r"^(.*[a-z]{3})([A-Z][A-Za-z]*)$")
#: What joins a name to the unit behind it.
JOINT = re.compile(r"(?:[\s,/]|\bin)+$", re.IGNORECASE)


def find_unit(text: str) -> Unit | None:
    """The unit that a text is the name of; capitals are as people write them, where that is not ambiguous."""
    name = text.strip().translate(MICRO)
    if name in REFUSED:
        return None
    return UNITS.get(name) or FOLDED.get(name.casefold())


def split_title(title: str) -> tuple[str, str]:
    """A column title as name and unit text, which is empty if the title has none.

    A unit in brackets may stand anywhere; others are looked for at the end only, and only known ones are taken.
    """
    brackets = IN_BRACKETS.findall(title)
    known = [text for text in brackets if text and find_unit(text)]
    if brackets and (known or not _after(title)):
        unit_text = (known or brackets)[-1]
        return " ".join(IN_BRACKETS.sub(" ", title).split()), unit_text
    return _after(title) or (title.strip(), "")


def _after(title: str) -> tuple[str, str] | None:
    for form in (SUFFIX, SLASH, CAMEL):
        match = form.match(title.strip())
        # "mm/min" is not a name and a unit, it is another unit.
        if match and find_unit(match[2]) and not (form is SLASH and find_unit(match[1].split()[-1])):
            return JOINT.sub("", match[1]), match[2]
    return None


def known_units(dimension: str) -> str:
    """The symbols of a dimension, for messages."""
    return ", ".join(dict.fromkeys(unit.symbol for unit in UNITS.values() if unit.dimension == dimension))
