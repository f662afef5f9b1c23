"""Reads a recording strictly: a `Recording`, or an error that says what is wrong and what to do. Never guesses.

Owns what counts as complete, cut, altered or damaged. Knows no rigs and no screens. A file cut anywhere after
its first line is a shorter valid recording: a last line without its line feed is dropped.
"""

from __future__ import annotations

import hashlib
import json
from array import array
from dataclasses import dataclass, field
from pathlib import Path

from recordings.format import FORMAT_NAME, SUFFIX, End, Header, Mark, Recording, Rows
from recordings.lines import COLUMN_LINE, SAVED_AGAIN, BadLine, NewerVersion, decode_comment, decode_header
from recordings.text import shown

#: Largest file read: many hours of samples; more is some other file [bytes].
MAX_BYTES = 512 * 1024 * 1024
#: Longest path quoted in a sentence [characters].
PATH_LIMIT = 300
#: How much of a file is looked at to tell what it is [bytes].
HEAD_BYTES = 64 * 1024
#: Rows are converted in pieces of this size, so that memory stays small [bytes].
BLOCK_BYTES = 1024 * 1024
#: Without the bytes of its numbers, every row looks like this.
NUMBER_BYTES, ROW_SHAPE = b"0123456789-", b",,,\n"
HASH = ord("#")


class RecordingError(Exception):
    """A file that can't be read as a recording; the text is a sentence that says what to do."""


class NotARecording(RecordingError):
    """There is no recording to read: another kind of file, no file, or a newer format."""


class DamagedRecording(RecordingError):
    """A recording with a line that does not say what it should."""

    def __init__(self, name: str, line: int, what: str) -> None:
        super().__init__(f"{shown(name)} is damaged at line {line}: {what}. Use the original file or a copy of it.")
        self.name, self.line, self.what = name, line, what


@dataclass(frozen=True, slots=True)
class Verification:
    """What a check of a recording found; `problems` are sentences. `ok` where there are none."""

    ok: bool
    complete: bool
    rows: int
    problems: tuple[str, ...] = ()


def looks_like_recording(path: Path) -> bool:
    """Tell whether a file is meant as a recording, by its name or its first line, so that it is read as one."""
    if path.name.lower().endswith(SUFFIX):
        return True
    try:
        with path.open("rb") as file:
            return FORMAT_NAME.encode() in file.readline(HEAD_BYTES)
    except OSError:
        return False


def read_recording(path: Path) -> Recording:
    """Read a file. Raises NotARecording or DamagedRecording."""
    return read_recording_bytes(path.name, _load(path))


def read_recording_bytes(name: str, data: bytes) -> Recording:
    """Read the content of a file that is called `name`. Raises NotARecording or DamagedRecording."""
    header = _header(name, data)
    body = _Body(name, data)
    body.read()
    rows = Rows(*(body.values[column::4] for column in range(4)))
    return Recording(name, header, rows, tuple(body.marks), body.end, body.altered)


def verify_recording(path: Path) -> Verification:
    """Check a file as far as it can be checked; never raises for what is in it."""
    try:
        recording = read_recording(path)
    except RecordingError as error:
        return Verification(ok=False, complete=False, rows=0, problems=(str(error),))
    problems = tuple(_problems(recording))
    return Verification(not problems, recording.complete, len(recording.rows), problems)


def _problems(recording: Recording) -> list[str]:
    rows, end, name = recording.rows, recording.end, shown(recording.name)
    found = []
    if end is None:
        found.append(
            f"{name} has no end line: it was cut off after {len(rows)} rows, which can be analysed, "
            "but nothing vouches for them."
        )
    elif recording.altered and end.rows != len(rows):
        found.append(f"{name} has {len(rows)} rows, and its end line says {end.rows}: use the original file.")
    elif recording.altered:
        found.append(f"{name} does not fit its checksum: it was changed after the pull; use the original file.")
    back = next((i for i in range(1, len(rows)) if rows.t_us[i] <= rows.t_us[i - 1]), None)
    if back is not None:
        found.append(f"{name}: the time does not go on at row {back + 1}; keep the file and check the rig.")
    return found


def _load(path: Path) -> bytes:
    name = shown(path, PATH_LIMIT)
    try:
        if path.is_dir():
            raise NotARecording(f"{name} is a folder: name a recording in it.")
        if path.exists() and not path.is_file():
            raise NotARecording(f"{name} is not an ordinary file: name a recording.")
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
            if path.stat().st_size <= MAX_BYTES:
                return head + file.read(MAX_BYTES)
    except FileNotFoundError as error:
        raise NotARecording(f"There is no file {name}: check the name and the folder.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise NotARecording(f"{name} can't be read ({reason}): check its name and access rights.") from error
    _header(path.name, head)
    raise NotARecording(f"{name} is larger than {MAX_BYTES >> 20} MB, which no pull fills: check what it is.")


def _header(name: str, data: bytes) -> Header:
    line, feed, _ = data[:HEAD_BYTES].partition(b"\n")
    ours = FORMAT_NAME.encode() in line.replace(b"\0", b"")
    if not line.startswith(b"# {") or not ours:
        raise _not_ours(shown(name), data[:HEAD_BYTES], ours)
    if not feed:
        raise NotARecording(f"{shown(name)} ends within its first line, so nothing was recorded: pull again.")
    if line.endswith(b"\r"):
        raise DamagedRecording(name, 1, f"its line ends were changed, {SAVED_AGAIN}")
    try:
        return decode_header(line)
    except NewerVersion as error:
        raise NotARecording(f"{shown(name)} is of a newer kind: {error}; update this program.") from error
    except BadLine as error:
        raise DamagedRecording(name, 1, str(error)) from error


def _not_ours(name: str, head: bytes, ours: bool) -> NotARecording:
    if not head:
        return NotARecording(f"{name} is empty: nothing was recorded in it.")
    if ours:
        return NotARecording(f"{name} is a recording that was rewritten, {SAVED_AGAIN}: use the original file.")
    kind = "is not a text file" if b"\0" in head else f"does not start as a recording ({SUFFIX}) does"
    return NotARecording(f"{name} {kind}: name a recording, or read it as a table of another program.")


@dataclass(slots=True)
class _Body:
    """All after the first line, taken apart piece by piece."""

    name: str
    data: bytes
    #: t_us, counts, steps and flags of all rows, one after the other.
    values: array[int] = field(default_factory=lambda: array("q"))
    marks: list[Mark] = field(default_factory=list)
    end: End | None = None
    altered: bool = False
    line: int = 2

    def read(self) -> None:
        """Go through the lines; what follows the last line feed is a line that was cut."""
        at, stop = self._column_line(), self.data.rfind(b"\n") + 1
        while at < stop and self.end is None:
            at = self._comment(at) if self.data[at] == HASH else self._rows(at, stop)
        if self.end is not None and at < len(self.data):
            raise self._damaged("something follows the end line")

    def _column_line(self) -> int:
        start = self.data.index(b"\n") + 1
        line = self.data[start : start + len(COLUMN_LINE)]
        if line != COLUMN_LINE and not (COLUMN_LINE.startswith(line) and start + len(line) == len(self.data)):
            raise self._damaged(f"it should read “{COLUMN_LINE.decode().strip()}”; it does not, {SAVED_AGAIN}")
        self.line += 1
        return start + len(line)

    def _comment(self, start: int) -> int:
        stop = self.data.index(b"\n", start) + 1
        try:
            found = decode_comment(self.data[start : stop - 1], len(self.values) // 4)
        except BadLine as error:
            raise self._damaged(str(error)) from error
        self.line += 1
        if isinstance(found, Mark):
            self.marks.append(found)
            return stop
        self.end = found
        checksum = hashlib.sha256(self.data[:start]).hexdigest()
        self.altered = found.sha256 != checksum or found.rows != len(self.values) // 4
        return stop

    def _rows(self, start: int, stop: int) -> int:
        limit = start + BLOCK_BYTES
        mark = self.data.find(b"\n#", start, limit)
        if mark >= 0:
            stop = mark + 1
        elif limit < stop:
            stop = self.data.rfind(b"\n", start, limit) + 1 or self.data.index(b"\n", limit) + 1
        block = self.data[start:stop]
        try:
            self.values.extend(_row_values(block))
        except (ValueError, OverflowError) as error:
            raise self._first_bad_row(block) from error
        self.line += block.count(b"\n")
        return stop

    def _first_bad_row(self, block: bytes) -> DamagedRecording:
        for row in block.split(b"\n"):
            try:
                _row_values(row + b"\n")
            except (ValueError, OverflowError):
                break
            self.line += 1
        if row.endswith(b"\r"):
            return self._damaged(f"its line ends were changed, {SAVED_AGAIN}")
        text = shown(row.decode("utf-8", "replace").strip())
        return self._damaged(f"“{text}” is not four whole numbers with commas between")

    def _damaged(self, what: str) -> DamagedRecording:
        return DamagedRecording(self.name, self.line, what)


def _row_values(block: bytes) -> array[int]:
    """The numbers of whole lines, one after the other. Raises ValueError or OverflowError for any other shape."""
    separators = block.translate(None, NUMBER_BYTES)
    if separators != ROW_SHAPE * (len(separators) // len(ROW_SHAPE)):
        raise ValueError("not four numbers in a line")
    # JSON's list of numbers is what these lines are once the line feeds are commas, and its parser is the
    # quickest in the standard library.
    numbers = block[:-1].replace(b"\n", b",").decode("ascii")
    return array("q", json.loads(f"[{numbers}]"))
