"""Follows the recordings of a folder as they are written, by whichever program, and tells a broadcast about them.

A recording is written as it happens, so whoever reads along sees the pull live; its result is worked out from it
when it ends. That way there is one path from the strand to the class's machines. Knows no HTTP.
"""

from __future__ import annotations

import contextlib
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING

from recordings.format import SUFFIX, End, Header, Mark
from recordings.lines import COLUMN_LINE, BadLine, decode_comment, decode_header
from rig.scale import Scale
from tui.classroom.broadcast import Broadcast
from tui.safe_text import clean
from tui.shown_result import title_of

if TYPE_CHECKING:
    from collections.abc import Iterator

#: How often the folder is looked at while nothing is recorded, and the recording while something is [s].
IDLE_S, BUSY_S = 0.25, 0.05

#: A recording without an end that was written to within this time is being written still [s].
FRESH_S = 3.0

#: Times that a folder is listed after it has changed: a file made in the same tick of its clock is not missed.
LISTINGS = 2

#: Most that is read of a recording at a time [bytes].
AT_A_TIME = 1 << 18


class Follower:
    """One folder; `poll` looks once, `start` goes on looking in a thread of its own until `close`."""

    def __init__(self, folder: Path, broadcast: Broadcast) -> None:
        self._folder, self._broadcast = folder, broadcast
        self._known: set[str] | None = None
        self._folder_time_ns, self._listings = -1, 0
        self._pull: _Followed | None = None
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="follows recordings", daemon=True)

    def start(self) -> None:
        """Go on looking."""
        self._thread.start()

    def close(self) -> None:
        """Look no more; what is being worked out still goes to a broadcast that is closed."""
        self._over.set()

    def _run(self) -> None:
        while not self._over.wait(BUSY_S if self._pull is not None else IDLE_S):
            self.poll()

    def poll(self) -> None:
        """Look once. A folder or file that can't be read now is looked at again next time."""
        with contextlib.suppress(OSError):
            self._look_for_new()
        if self._pull is None:
            return
        try:
            more = self._pull.read()
        except (OSError, BadLine, ValueError):
            more = False  # what stands there is no recording (any more): its result would say so too
            self._broadcast.end()
        if not more:
            path, self._pull = self._pull.path, None
            show_result(path, self._broadcast)

    def _look_for_new(self) -> None:
        """Take up the newest recording that was not there before; at first the newest one there is, as a result."""
        try:
            time_ns = self._folder.stat().st_mtime_ns
        except FileNotFoundError:
            self._known = self._known or set()
            return
        self._listings = self._listings + 1 if time_ns == self._folder_time_ns else 0
        if self._listings >= LISTINGS:
            return
        self._folder_time_ns = time_ns
        names = {path.name for path in self._folder.iterdir() if path.name.endswith(SUFFIX)}
        before, self._known = self._known, names
        new = [self._folder / name for name in names - (before or set())]
        newest = max(new, key=lambda path: path.stat().st_mtime_ns, default=None)
        if newest is not None:
            self._pull = _Followed(newest, self._broadcast, live=before is not None or is_being_written(newest))


class _Followed:
    """One recording being read along."""

    def __init__(self, path: Path, broadcast: Broadcast, *, live: bool) -> None:
        self.path = path
        self._broadcast = broadcast
        #: A recording that was there before is no pull under way, unless it still grows.
        self._live = live
        self._offset = 0
        self._rest = b""
        self._header: Header | None = None
        self._zero_counts = 0.0
        self._rows = 0
        self._scale: Scale | None = None
        self._started = self._ended = False

    def read(self) -> bool:
        """Read what is new; whether there may be more. Raises OSError, BadLine and ValueError."""
        if not self._live:
            return False
        with self.path.open("rb") as file:
            file.seek(self._offset)
            data = file.read(AT_A_TIME)
        self._offset += len(data)
        *lines, self._rest = (self._rest + data).split(b"\n")
        points = [point for line in lines for point in self._line(line)]
        self._broadcast.grow([x for x, _ in points], [y for _, y in points])
        return not self._ended

    def _line(self, line: bytes) -> Iterator[tuple[float, float]]:
        """The points that one line adds."""
        if self._header is None:
            self._begin(decode_header(line))
        elif line.startswith(b"#"):
            self._comment(decode_comment(line, self._rows))
        elif line and line + b"\n" != COLUMN_LINE:
            _, counts, steps, _ = map(int, line.split(b","))
            self._rows += 1
            yield from self._point(counts, steps)

    def _begin(self, header: Header) -> None:
        self._header = header
        self._started = header.method.kind == "by_hand"
        self._broadcast.begin(
            clean(self.path.name),
            title_of(header.specimen, self.path),
            clean(header.rig.name),
            header.method.guideline_pct,
            simulated=header.simulated,
        )

    def _comment(self, comment: Mark | End) -> None:
        if isinstance(comment, End):
            self._ended = True
            self._broadcast.end()
        elif comment.kind == "zeroed":
            counts = comment.data.get("counts")
            self._zero_counts = float(counts) if isinstance(counts, int | float) else 0.0
        elif comment.kind == "started":
            self._started, self._scale = True, None

    def _point(self, counts: int, steps: int) -> Iterator[tuple[float, float]]:
        header = self._header
        if not self._started or header is None:
            return
        if self._scale is None:
            self._scale = Scale(
                header.force_calibration,
                header.extension_calibration,
                header.specimen.gauge_length_mm,
                self._zero_counts,
                steps,
            )
        x, y = self._scale.strain_pct(steps), self._scale.force_n(counts)
        if x is not None and y is not None:
            yield x, y


def is_being_written(path: Path) -> bool:
    """Whether a recording has no end yet and was written to a moment ago. Raises OSError."""
    with path.open("rb") as file:
        file.seek(max(path.stat().st_size - 200, 0))
        return b'\n# {"end"' not in file.read() and time.time() - path.stat().st_mtime < FRESH_S


def show_result(path: Path, broadcast: Broadcast) -> None:
    """Tell the broadcast the result of a recording; one that gives none is left out."""
    from tui.classroom.page_values import result_value

    with contextlib.suppress(Exception):  # a page for looking on is no place for what is wrong with a file
        broadcast.show_result(result_value(path))
