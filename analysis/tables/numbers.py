"""Numbers as people and programs write them: decimal point or comma, thousands, signs.

Owns which of `.` and `,` is the decimal sign of a table and what counts as a number. A text that is not plainly a
number in that notation is none: nothing is read as ten or a thousand times itself.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

#: Signs of thousands that are never a decimal sign: apostrophes, no-break and thin spaces.
THOUSANDS = dict.fromkeys(map(ord, "'’\u00a0\u202f\u2009"))
#: Minus signs of word processors.
SIGNS = {ord("−"): "-", ord("–"): "-", ord("＋"): "+"}
CLEAN = THOUSANDS | SIGNS
SIGN, EXPONENT = r"[+-]?", r"(?:[eE][+-]?\d{1,4})?"


def _notation(decimal: str, group: str) -> re.Pattern[str]:
    d, g = re.escape(decimal), re.escape(group)
    grouped, plain = rf"[1-9]\d{{0,2}}(?:{g}\d{{3}})+(?:{d}\d*)?", rf"\d+(?:{d}\d*)?|{d}\d+"
    return re.compile(rf"{SIGN}(?:{plain}|{grouped}){EXPONENT}", re.ASCII)


#: A number in each notation, and what a lone sign of the other kind looks like when it groups thousands.
NOTATION = {".": _notation(".", ","), ",": _notation(",", ".")}
#: A text of only these is a number as it stands, or none.
PLAIN_SIGNS = {".": "0123456789-.", ",": "0123456789-,"}
OTHER = {".": ",", ",": "."}


def plain(text: str) -> str:
    """The text without blanks around it, thousands signs, and typographic minus signs."""
    return text.strip().translate(CLEAN)


def looks_numeric(text: str) -> bool:
    """Whether a text is a number in either notation."""
    text = plain(text)
    return bool(NOTATION["."].fullmatch(text) or NOTATION[","].fullmatch(text))


def number(text: str, decimal: str) -> float | None:
    """The finite number that a text is, or None."""
    if not text.strip(PLAIN_SIGNS[decimal]):
        try:
            # Nearly all cells of a table come this way, ten times as quick as the way below.
            return _finite(float(text.replace(decimal, ".")))
        except ValueError:
            pass
    text = plain(text)
    if not NOTATION[decimal].fullmatch(text):
        return None
    return _finite(float(text.replace(OTHER[decimal], "").replace(decimal, ".")))


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def decimal_sign(cells: Iterable[str], comma_separates: bool) -> str:
    """Find the decimal sign of a table from all its cells that are numbers.

    Cells that can only be read one way decide, by majority. Where all could be thousands ("1,234") a comma is the
    decimal sign, unless commas also separate the columns.
    """
    votes = {".": 0, ",": 0}
    undecided = {".": 0, ",": 0}
    for cell in cells:
        text = plain(cell)
        if ("." in text or "," in text) and looks_numeric(text):
            readings = [sign for sign, notation in NOTATION.items() if notation.fullmatch(text)]
            if len(readings) == 1:
                votes[readings[0]] += 1
            else:
                undecided["," if "," in text else "."] += 1
    if votes["."] != votes[","]:
        return "." if votes["."] > votes[","] else ","
    return "," if undecided[","] and not undecided["."] and not comma_separates else "."
