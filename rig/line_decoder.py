"""Bytes of a board that prints lines -> readings, as whole numbers. Pure: knows no port and no clock.

Lines end in LF, CR or both, and may be cut anywhere. What comes before the first line end is dropped, since it
may be the rest of a line. A line of words (a heading, a greeting) is text; a line that has numbers but not the
ones expected is bad; both are counted, and the newest are kept for a person to look at.
"""

from __future__ import annotations

import re
from collections import deque
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from recordings.text import shown
from rig.line_columns import FORCE, POSITION, TIME, LineColumns

#: A line longer than this is no line [byte].
LONGEST_LINE = 512
#: A printed number longer than this is no reading [characters].
LONGEST_NUMBER = 40
#: Stored numbers have at most this many digits before the point: they must fit 64 bits.
MOST_DIGITS = 18
#: So many unread lines are kept to be shown.
KEPT = 3
#: What may stand between columns, the surest first. Where it is not a comma, a comma is a decimal sign.
SEPARATORS = (";", "\t", ",", None)

_LINE_ENDS = re.compile(rb"[\r\n]+")


@dataclass(frozen=True, slots=True)
class Reading:
    """One line, as stored: time [us] where the board prints one, force and position in their stored units."""

    t_us: int | None
    counts: int
    steps: int


class LineDecoder:
    """Fed with bytes as they come; gives the readings in them."""

    def __init__(self, columns: LineColumns) -> None:
        self._columns = columns
        self._rest = b""
        self._synchronised = False
        self._overlong = False
        self._separator: str | None = None
        self._separator_known = False
        self.bad = 0
        self.texts = 0
        self.unread: deque[str] = deque(maxlen=KEPT)

    def feed(self, data: bytes) -> list[Reading]:
        """Take the next bytes; give the readings of all lines that are whole now."""
        *lines, self._rest = _LINE_ENDS.split(self._rest + data)
        readings = [reading for line in lines if (reading := self._whole_line(line)) is not None]
        if len(self._rest) > LONGEST_LINE:
            self._rest, self._overlong = b"", True
        return readings

    def _whole_line(self, line: bytes) -> Reading | None:
        """A line with its end; the first one may have lost its beginning."""
        cut, self._overlong = self._overlong, False
        if not self._synchronised:
            self._synchronised = True
            return None
        if cut or len(line) > LONGEST_LINE:
            self._bad("(a line without an end)")
            return None
        text = line.decode("utf-8", "replace").strip()
        return self._read(text) if text else None

    def _read(self, text: str) -> Reading | None:
        for separator in (self._separator,) if self._separator_known else SEPARATORS:
            values = self._values(text, separator)
            if values is not None:
                self._separator, self._separator_known = separator, True
                return Reading(values.get(TIME), values[FORCE], values.get(POSITION, 0))
        if any(character.isdigit() for character in text):
            self._bad(text)
        else:
            self.texts += 1
            self.unread.append(shown(text))
        return None

    def _values(self, text: str, separator: str | None) -> dict[str, int] | None:
        """The stored numbers by quantity; None where the line is not what the columns say."""
        fields = [field.strip() for field in text.split(separator)]
        if len(fields) == len(self._columns.columns) + 1 and not fields[-1]:
            fields.pop()  # a separator behind the last column
        if len(fields) != len(self._columns.columns):
            return None
        values: dict[str, int] = {}
        for column, field in zip(self._columns.columns, fields, strict=True):
            if not column.quantity:
                continue
            value = _stored(field, column.factor, decimal_comma=separator != ",", exact=column.exact)
            if value is None:
                return None
            values[column.quantity] = value
        return values

    def _bad(self, text: str) -> None:
        self.bad += 1
        self.unread.append(shown(text))


def _stored(field: str, factor: Decimal, *, decimal_comma: bool, exact: bool) -> int | None:
    """A printed number as it is stored; None for what is not a finite number, or too large, or not whole."""
    if decimal_comma and field.count(",") == 1:
        field = field.replace(",", ".")
    try:
        number = Decimal(field) if len(field) <= LONGEST_NUMBER else None
    except InvalidOperation:
        number = None
    if number is None or not number.is_finite() or number.adjusted() > MOST_DIGITS:
        return None
    scaled = number * factor
    if scaled.adjusted() >= MOST_DIGITS or (exact and scaled != scaled.to_integral_value()):
        return None
    return round(scaled)
