"""Options and deeds that every kind of calibration shares: which board, whose code, until when, kept where."""

from __future__ import annotations

import argparse
import calendar
import hashlib
import json
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from tui.arguments import Parser, whole
from tui.failure import CommandError
from tui.safe_text import clean

if TYPE_CHECKING:
    from recordings.format import ExtensionCalibration, ForceCalibration, JsonValue

    C = TypeVar("C", ForceCalibration, ExtensionCalibration)

#: A calibration is due again after so many months unless told otherwise: a year is common practice, no source.
DUE_MONTHS = 12


@dataclass(frozen=True, slots=True)
class Board:
    """Which board a calibration is of: its number, or None where it tells none; and its own claim of its scale."""

    number: int | None
    counts_per_n: float | None = None
    steps_per_mm: float | None = None

    @property
    def text(self) -> str:
        """How a person reads it."""
        return "a board that prints lines" if self.number is None else f"board {self.number:08x}"


def add_port_options(parser: Parser, *, required: bool) -> None:
    """Add where the rig is."""
    parser.add_argument(
        "--port", required=required, metavar="URL", help="where the rig is: a device name, or tcp://HOST:PORT"
    )
    parser.add_argument(
        "--baud", type=whole(300, 4_000_000), default=250_000, help="line speed of a serial port (default 250000)"
    )


def add_keeping_options(parser: Parser) -> None:
    """Add how the calibration is kept."""
    group = parser.add_argument_group("keeping it")
    group.add_argument("--person", default="", metavar="CODE", help="a code for who calibrates, never a name")
    group.add_argument(
        "--date", type=day, metavar="YYYY-MM-DD", help="when the readings were taken (default today)"
    )
    group.add_argument(
        "--due-months",
        type=whole(1, 60),
        default=DUE_MONTHS,
        metavar="N",
        help=f"calibrate again after so many months (default {DUE_MONTHS})",
    )
    group.add_argument(
        "--out", type=Path, metavar="FILE", help="keep it in this file only, not as the newest of this board"
    )


def add_board_option(parser: Parser) -> None:
    """Add which board readings taken earlier are of."""
    parser.add_argument(
        "--board", type=board_number, metavar="NUMBER", help="which board the readings are of, as `list` shows it"
    )


def day(text: str) -> date:
    """A converter for argparse: a date that is not in the future."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        found = date.max
    if found > date.today():
        raise argparse.ArgumentTypeError(f"{clean(text)!r} must be a day until today, such as 2026-11-25")
    return found


def board_number(text: str) -> int:
    """A converter for argparse: a board's number, in hexadecimal as it is shown."""
    try:
        number = int(text, 16)
    except ValueError:
        number = -1
    if not 0 <= number < 2**32:
        raise argparse.ArgumentTypeError(
            f"{clean(text)!r} must be a board's number as it is shown, such as 5b000001"
        )
    return number


def due_after(made: date, months: int) -> date:
    """The same day of a later month, or that month's last."""
    month = made.month - 1 + months
    year, month = made.year + month // 12, month % 12 + 1
    return date(year, month, min(made.day, calendar.monthrange(year, month)[1]))


def made_on(args: argparse.Namespace) -> date:
    """The day the readings were taken."""
    given: date | None = args.date
    return given or date.today()


def signed(calibration: C, args: argparse.Namespace, inputs: dict[str, JsonValue]) -> C:
    """The calibration with its date, its due date, the person's code and an identifier made from its inputs."""
    made = made_on(args)
    what = type(calibration).__name__.removesuffix("Calibration").lower()
    digest = hashlib.sha256(json.dumps(inputs, sort_keys=True).encode()).hexdigest()[:8]
    return replace(
        calibration,
        date=made.isoformat(),
        due=due_after(made, args.due_months).isoformat(),
        person=clean(args.person),
        identifier=f"{what}-{made.isoformat()}-{digest}",
    )


def check_out(args: argparse.Namespace) -> None:
    """Complain before anything is read where the calibration could not be kept. Raises CommandError."""
    if args.out is not None and (args.out.exists() or not args.out.parent.is_dir()):
        raise CommandError(
            f"{clean(str(args.out))} is there already, or its folder is not: give --out another name for the file."
        )


def keep(
    calibration: ForceCalibration | ExtensionCalibration,
    board: Board,
    inputs: dict[str, JsonValue],
    out: Path | None,
) -> Path:
    """Keep a calibration in the file named, else as the newest of its board; where it is now."""
    from rig.calibration_store import store, store_as

    if out is not None:
        return store_as(out, calibration, board.number, inputs)
    if board.number is None:
        raise CommandError("This board tells no number to keep the calibration by: name a file with --out.")
    return store(calibration, board.number, inputs)


def with_known_give(calibration: ExtensionCalibration, board: Board) -> ExtensionCalibration:
    """The calibration with the rig's give as it was last found for this board, if ever."""
    from rig.calibration_store import EXTENSION, load_extension, newest

    path = None if board.number is None else newest(board.number, EXTENSION)
    if path is None:
        return calibration
    last = load_extension(path, board.number)
    return replace(
        calibration,
        compliance_mm_per_n=last.compliance_mm_per_n,
        u_compliance_mm_per_n=last.u_compliance_mm_per_n,
    )


def board_given(args: argparse.Namespace) -> Board:
    """The board that readings taken earlier are of, as far as it was said. Raises CommandError."""
    if args.board is None and args.out is None:
        raise CommandError(
            "Say which board the readings are of (--board NUMBER, as `strandbench calibrate list` or a pull shows "
            "it), or name a file to keep the calibration in (--out FILE)."
        )
    return Board(args.board)
