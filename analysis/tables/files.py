"""Files of other programs as grids of cells: text in any usual encoding and separator, and spreadsheets.

Owns what is a table at all. Knows nothing of what its columns mean.
"""

from __future__ import annotations

import csv
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from analysis.tables.numbers import decimal_sign, looks_numeric, number
from recordings.format import FORMAT_NAME
from recordings.text import shown

#: Largest file taken for a table, and largest content of a compressed one [bytes].
MAX_BYTES, MAX_UNPACKED_BYTES = 64 << 20, 512 << 20
#: As many rows as a spreadsheet can have, and more columns than any table of a pull.
MAX_ROWS, MAX_COLUMNS = 1_048_576, 256
#: How many lines are looked at to find the separator.
SNIFFED_LINES = 2000
#: Separators in the order in which they are preferred where several would do.
TAB, SEMICOLON, COMMA, BAR, WIDE_BLANKS, BLANKS = "\t", ";", ",", "|", r"\s{2,}|\t", r"\s+"
SEPARATORS = (TAB, SEMICOLON, COMMA, BAR, WIDE_BLANKS, BLANKS)
#: A unit in brackets belongs to the word before it, also where blanks separate the columns.
BLANK_BEFORE_BRACKET = re.compile(r"[ \t]+(?=[\[(])")
#: Separators that do nearly as well as the best are equal: a title line can look like numbers to one of them.
EQUAL_SHARE = 0.9
ZIP, OLD_OFFICE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


#: How many rows are looked at to find the decimal sign.
WEIGHED_ROWS = 5000

#: A number, a text that is none, or nothing.
Cell = float | str | None


class TableError(Exception):
    """A table that can't be read, in a sentence that says what to do."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The cells of one sheet, blank rows kept: row i is line or spreadsheet row i + 1. Blank cells are None."""

    sheet: str
    rows: list[list[Cell]]
    #: Commas stand between the columns, so that a decimal comma would make two columns of one.
    comma_separates: bool = False


def load_grids(path: Path, sheet: str | int | None = None) -> list[Grid]:
    """All sheets of a file, or the one named or numbered from 1. Raises TableError."""
    data = _load(path)
    name = shown(path.name)
    if not data.strip():
        raise TableError(f"{name} is empty: export the table again.")
    if data.startswith(OLD_OFFICE):
        raise TableError(
            f"{name} is an old or a protected spreadsheet: save it as .xlsx or CSV without a password."
        )
    grids = _workbook(name, data) if data.startswith(ZIP) else [_text_grid(name, data)]
    return grids if sheet is None else [named_sheet(name, grids, sheet)]


def _load(path: Path) -> bytes:
    name = shown(path, 300)
    try:
        if path.is_dir():
            raise TableError(f"{name} is a folder: name a file in it.")
        if path.exists() and not path.is_file():
            raise TableError(f"{name} is not an ordinary file: name a table.")
        if path.exists() and path.stat().st_size > MAX_BYTES:
            raise TableError(f"{name} is larger than {MAX_BYTES >> 20} MB: export one pull at a time.")
        return path.read_bytes()
    except FileNotFoundError as error:
        raise TableError(f"There is no file {name}: check the name and the folder.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise TableError(f"{name} can't be read ({reason}): check its name and access rights.") from error


def named_sheet(name: str, grids: list[Grid], sheet: str | int) -> Grid:
    """The sheet of that name, or of that number from 1. Raises TableError that names the sheets."""
    for position, grid in enumerate(grids, start=1):
        if str(sheet).strip().casefold() in (grid.sheet.casefold(), str(position)):
            return grid
    sheets = ", ".join(f"“{shown(grid.sheet)}”" for grid in grids)
    raise TableError(f"{shown(name)} has no sheet “{shown(sheet)}”; it has {sheets}.")


# Text ------------------------------------------------------------------------------------------------------


def _text_grid(name: str, data: bytes) -> Grid:
    text = _decode(name, data).replace("\r\n", "\n").replace("\r", "\n")
    if FORMAT_NAME in text.partition("\n")[0]:
        raise TableError(f"{name} is a recording of this program, not a table: read it as a recording.")
    separator = _separator(text.split("\n")[:SNIFFED_LINES])
    try:
        rows = list(_split(text.split("\n"), separator))
    except csv.Error as error:
        raise TableError(f"{name} can't be taken apart into columns ({error}): export it again.") from error
    return _grid("", rows, separator == COMMA)


def _decode(name: str, data: bytes) -> str:
    encoding = "utf-8-sig"
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    elif b"\0" in data[:1000]:
        encoding = "utf-16-le" if data[1:2] == b"\0" else "utf-16-be"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        # What Windows programs write in Western Europe; it includes ISO 8859-1.
        text = data.decode("cp1252", errors="replace")
    if any(char < "\t" or "\r" < char < " " for char in text[:10_000]):
        raise TableError(f"{name} is not a table in text: export it as CSV or .xlsx.")
    return text


def _separator(lines: list[str]) -> str:
    """The separator that makes rows of numbers of most lines; where none does, the one that occurs most."""
    scores = {separator: _score(lines, separator) for separator in SEPARATORS}
    best = max(scores.values())
    if best:
        return next(separator for separator in SEPARATORS if scores[separator] >= EQUAL_SHARE * best)
    return max(SEPARATORS[:4], key=lambda separator: sum(line.count(separator) for line in lines))


def _score(lines: list[str], separator: str) -> int:
    """Lines with at least two numbers; those that have nothing else count twice."""
    score = 0
    try:
        for row in _split(lines, separator):
            cells = [cell for cell in row if cell.strip()]
            numbers = sum(map(looks_numeric, cells))
            score += (numbers >= 2) + (2 <= numbers == len(cells))
    except csv.Error:
        return 0
    return score


def _split(lines: list[str], separator: str) -> Iterable[list[str]]:
    if len(separator) == 1:
        return csv.reader(io.StringIO("\n".join(lines)), delimiter=separator, skipinitialspace=True)
    return (re.split(separator, BLANK_BEFORE_BRACKET.sub("", line.lstrip("# \t").rstrip())) for line in lines)


# Spreadsheets ----------------------------------------------------------------------------------------------


def _workbook(name: str, data: bytes) -> list[Grid]:
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            unpacked = sum(part.file_size for part in archive.infolist())
        if unpacked > MAX_UNPACKED_BYTES:
            raise TableError(f"{name} is too large when unpacked: export one pull at a time, as CSV.")
        with warnings.catch_warnings():
            # About styles and checks of the workbook, which don't touch its values.
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            return [_sheet_grid(sheet.title, sheet) for sheet in book.worksheets]
    except TableError:
        raise
    except Exception as error:
        # The library has no exception of its own: a damaged workbook comes as whatever it stumbled over.
        raise TableError(f"{name} can't be read as a spreadsheet: save it again as .xlsx or CSV.") from error


def _sheet_grid(title: str, sheet: object) -> Grid:
    sheet.reset_dimensions()  # type: ignore[attr-defined]
    found = sheet.iter_rows(max_row=MAX_ROWS, values_only=True)  # type: ignore[attr-defined]
    rows = [_trimmed([_cell(value) for value in row[:MAX_COLUMNS]]) for row in found]
    while rows and not rows[-1]:
        rows.pop()
    return _grid(title, rows)


def _cell(value: object) -> Cell:
    if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300:
        return float(value)
    return None if value is None else str(value)


def _trimmed(row: list[Cell]) -> list[Cell]:
    while row and row[-1] is None:
        row.pop()
    return row


def _grid(sheet: str, rows: Sequence[Sequence[Cell]], comma_separates: bool = False) -> Grid:
    """Texts that are numbers in the table's notation become numbers."""
    texts = (cell for row in rows[:WEIGHED_ROWS] for cell in row if isinstance(cell, str))
    decimal = decimal_sign(texts, comma_separates)
    cells = [[_read(cell, decimal) if isinstance(cell, str) else cell for cell in row] for row in rows]
    return Grid(sheet, cells, comma_separates)


def _read(text: str, decimal: str) -> Cell:
    value = number(text, decimal)
    return value if value is not None else (text.strip() or None)
