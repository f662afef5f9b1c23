"""The level of the force readings of a board that only prints lines, for its calibration with weights."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from rig.clock import WallClock
from rig.errors import BadPlan
from rig.levels import LEVEL_S, Level, settled_level
from rig.line_board import LineBoard
from rig.line_columns import FORCE, parse_columns
from rig.line_run import first_readings
from rig.link import DEFAULT_BAUD, open_link


@contextmanager
def listening(url: str, columns: str, baud: int = DEFAULT_BAUD) -> Iterator[LineBoard]:
    """A board that prints lines, for as long as the context lasts.

    Raises BadPlan where it prints no counts to calibrate, NotARig where what it prints does not fit the columns.
    """
    parsed = parse_columns(columns)
    force = parsed.of(FORCE)
    if force is None or force.si_per_stored is not None:
        raise BadPlan("The board prints a force, which can't be calibrated again: name its counts (force_counts).")
    clock = WallClock()
    board = LineBoard(open_link(url, baud), parsed, clock)
    board.start()
    try:
        first_readings(board, parsed, lambda: None)
        yield board
    finally:
        board.close()


def take_line_level(board: LineBoard, seconds: float = LEVEL_S) -> Level:
    """The level now. Raises NoReadings, or the cause where the link ends."""
    board.inbox.clear()
    return settled_level(board, seconds)
