"""Rows into a file: CSV, a spreadsheet, Parquet where pyarrow is installed. Whole or not at all; never overwrites.

Texts come from strands' headers and other people's files: none of them becomes a formula in a spreadsheet.
"""

from __future__ import annotations

import csv
import importlib.util
from collections.abc import Callable, Sequence
from pathlib import Path

from tui import wording_library as words
from tui.failure import CommandError
from tui.library.rows import Cell, Row, columns

#: What a spreadsheet takes for the beginning of a formula.
FORMULA_SIGNS = ("=", "+", "-", "@")

#: Name of the sheet in a workbook.
SHEET = "pulls"


def check_table(path: Path) -> None:
    """Raises CommandError for an ending that is not known or can't be written here, or a file that is there."""
    if path.suffix.lower() not in WRITERS:
        endings = ", ".join(WRITERS)
        raise CommandError(words.EXPORT_ENDING.format(name=path.name or str(path), endings=endings))
    if path.suffix.lower() == ".parquet" and importlib.util.find_spec("pyarrow") is None:
        raise CommandError(words.EXPORT_NEEDS_PYARROW)
    if path.exists():
        raise FileExistsError(17, "File exists", str(path))


def write_table(rows: Sequence[Row], path: Path) -> None:
    """Write the rows. Raises as `check_table`, and OSError; a file that could not be finished is taken away."""
    check_table(path)
    path.open("xb").close()
    try:
        WRITERS[path.suffix.lower()](rows, path)
    except BaseException as problem:
        path.unlink(missing_ok=True)
        if isinstance(problem, OSError) and problem.filename is None:
            raise OSError(problem.errno, problem.strerror or str(problem), str(path)) from problem
        raise


def _write_csv(rows: Sequence[Row], path: Path) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns())
        writer.writerows([_csv_cell(row[name]) for name in columns()] for row in rows)


def _csv_cell(cell: Cell) -> str:
    """Numbers in full; a text that a spreadsheet would compute stands behind an apostrophe."""
    if isinstance(cell, bool):
        return str(cell).lower()
    if isinstance(cell, str):
        return f"'{cell}" if cell.startswith(FORMULA_SIGNS) else cell
    return "" if cell is None else repr(cell)


def _write_xlsx(rows: Sequence[Row], path: Path) -> None:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    sheet = book.create_sheet(SHEET)
    sheet.freeze_panes = "B2"
    sheet.append(columns())
    for row in rows:
        cells = [WriteOnlyCell(sheet, value=row[name]) for name in columns()]
        for cell in cells:
            if isinstance(cell.value, str):
                cell.data_type = "s"
        sheet.append(cells)
    book.save(path)


def _write_parquet(rows: Sequence[Row], path: Path) -> None:
    import pandas as pd

    pd.DataFrame(list(rows), columns=columns()).to_parquet(path, index=False)


WRITERS: dict[str, Callable[[Sequence[Row], Path], None]] = {
    ".csv": _write_csv,
    ".xlsx": _write_xlsx,
    ".parquet": _write_parquet,
}
