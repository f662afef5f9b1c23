"""Reading a recording strictly, against the plainest reading without any check, in one run."""

from __future__ import annotations

import csv
import io
import statistics
import timeit
from collections.abc import Callable

from recordings.reader import read_recording_bytes
from tests.recordings.sample import ended

#: The strict reader may take this share of the time of a plain one (measured: about a third).
LARGEST_RATIO = 0.6
ROWS = 15_000


def once(read: Callable[[], object]) -> float:
    return timeit.timeit(read, number=1)


def test_the_strict_reader_is_quicker_than_a_plain_one() -> None:
    data = ended(b"".join(b"%d,%d,%d,1\n" % (12500 * i, 8_000_000 + 17 * i, 10 * i) for i in range(ROWS)), ROWS)

    def plain() -> list[list[int]]:
        rows = csv.reader(io.StringIO(data.decode()))
        return [[int(cell) for cell in row] for row in rows if row[0][0].isdigit()]

    assert len(plain()) == len(read_recording_bytes("x", data).rows) == ROWS
    # Turn by turn, so that a busy moment of the machine slows both.
    turns = [(once(lambda: read_recording_bytes("x", data)), once(plain)) for _ in range(25)]
    assert statistics.median(strict_s / plain_s for strict_s, plain_s in turns) < LARGEST_RATIO
