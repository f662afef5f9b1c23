"""Reading a recording strictly, against the plainest reading without any check, in one run."""

from __future__ import annotations

import csv
import io
import timeit

from recordings.reader import read_recording_bytes
from tests.recordings.sample import ended

#: The strict reader may take this share of the time of a plain one (measured: about a third).
LARGEST_RATIO = 0.6
ROWS = 15_000


def test_the_strict_reader_is_quicker_than_a_plain_one() -> None:
    data = ended(b"".join(b"%d,%d,%d,1\n" % (12500 * i, 8_000_000 + 17 * i, 10 * i) for i in range(ROWS)), ROWS)

    def plain() -> list[list[int]]:
        rows = csv.reader(io.StringIO(data.decode()))
        return [[int(cell) for cell in row] for row in rows if row[0][0].isdigit()]

    strict_s = min(timeit.repeat(lambda: read_recording_bytes("x", data), number=1, repeat=15))
    plain_s = min(timeit.repeat(plain, number=1, repeat=15))
    assert len(plain()) == len(read_recording_bytes("x", data).rows) == ROWS
    assert strict_s / plain_s < LARGEST_RATIO
