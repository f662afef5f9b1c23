"""Writes a recording while the pull runs: header first, every batch at once to the file, an end line at the end.

Owns file creation, syncing and the file's name. Knows no rigs. A writer belongs to one thread.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import time
import unicodedata
from array import array
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from types import TracebackType
from typing import Self

from recordings.format import SUFFIX, End, Header, JsonValue, Mark
from recordings.lines import COLUMN_LINE, encode_end, encode_header, encode_mark

#: How long a sample may wait for the disk [s]: what a power cut can cost at most, beside the last batch.
SYNC_EVERY_S = 1.0
#: Longest piece of a file name taken from a reference or a strand [bytes of UTF-8].
NAME_PART_BYTES = 60
#: `fdatasync` leaves out times of access, which nobody needs here; not every system has it.
_sync: Callable[[int], None] = getattr(os, "fdatasync", os.fsync)


class RecordingFailed(Exception):
    """The recording can't be written (any further). What stands on the disk is a valid, shorter recording."""


class RecordingWriter:
    """One recording being written; a context manager.

    Leaving by an exception ends the recording with reason "error", leaving without `finish` with "done".
    After a RecordingFailed the writer writes nothing more.
    """

    def __init__(
        self,
        path: Path,
        header: Header,
        *,
        sync_every_s: float = SYNC_EVERY_S,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        """Create the file, which must not exist yet, with its header on the disk. Raises RecordingFailed."""
        self.path = path
        self.row_count = 0
        self._sync_every_s, self._now = sync_every_s, now
        self._hash = hashlib.sha256()
        first_lines = encode_header(header) + COLUMN_LINE
        self._fd: int | None = _create(path)
        try:
            self._append(first_lines)
            self._to_disk()
        except RecordingFailed:
            with contextlib.suppress(OSError):
                path.unlink()
            raise
        _sync_folder(path.parent)

    def rows(self, t_us: Sequence[int], counts: Sequence[int], steps: Sequence[int], flags: Sequence[int]) -> None:
        """Append a batch, in one write. Raises RecordingFailed, and TypeError, ValueError or OverflowError
        for a batch that is not four columns of 64-bit integers of equal length: then nothing is written.
        """
        columns = [array("q", column) for column in (t_us, counts, steps, flags)]
        lines = [f"{t},{c},{s},{f}\n" for t, c, s, f in zip(*columns, strict=True)]
        self._append("".join(lines).encode("ascii"))
        self.row_count += len(lines)
        self._sync_when_due()

    def mark(
        self, kind: str, *, t_us: int | None = None, text: str = "", data: dict[str, JsonValue] | None = None
    ) -> None:
        """Append a mark between the rows. Raises RecordingFailed, or BadLine for a number that isn't finite."""
        self._append(encode_mark(Mark(kind, self.row_count, t_us, text, data or {})))
        self._sync_when_due()

    def finish(self, reason: str) -> None:
        """Append the end line and close. A second call does nothing. Raises RecordingFailed."""
        if self._fd is None:
            return
        self._append(encode_end(End(reason, self.row_count, self._hash.hexdigest())))
        self._to_disk()
        self._close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if error is None:
            self.finish("done")
            return
        with contextlib.suppress(RecordingFailed):
            self.finish("error")

    def _append(self, data: bytes) -> None:
        if self._fd is None:
            raise RecordingFailed(f"{self.path} is closed: nothing more can be recorded in it")
        self._hash.update(data)
        try:
            while data:
                data = data[os.write(self._fd, data) :]
        except OSError as error:
            self._fail(error)

    def _sync_when_due(self) -> None:
        if self._now() - self._synced_at >= self._sync_every_s:
            self._to_disk()

    def _to_disk(self) -> None:
        assert self._fd is not None
        try:
            _sync(self._fd)
        except OSError as error:
            self._fail(error)
        self._synced_at = self._now()

    def _fail(self, error: OSError) -> None:
        self._close()
        raise RecordingFailed(
            f"{self.path} can't be written ({_reason(error)}): what was recorded before stays; "
            "free some space or choose another folder, and pull again"
        ) from error

    def _close(self) -> None:
        if self._fd is not None:
            fd, self._fd = self._fd, None
            with contextlib.suppress(OSError):
                os.close(fd)


def new_path(folder: Path, header: Header) -> Path:
    """Name a new recording after date, reference and strand; a counter keeps it apart from any existing file."""
    parts = [
        _date_part(header.recorded_at),
        _name_part(header.specimen.reference),
        _name_part(header.specimen.strand),
    ]
    stem = "_".join(part for part in parts if part)
    path, counter = folder / (stem + SUFFIX), 1
    while os.path.lexists(path):
        counter += 1
        path = folder / f"{stem}-{counter}{SUFFIX}"
    return path


def _date_part(recorded_at: str) -> str:
    """The date, or a word in its place: with it in front no name is one that an operating system reserves."""
    try:
        return date.fromisoformat(recorded_at[:10]).isoformat()
    except ValueError:
        return "undated"


def _name_part(text: str) -> str:
    """Letters and digits of any script; all else becomes a hyphen."""
    plain = unicodedata.normalize("NFC", text)
    words = "".join(c if c.isalnum() else " " for c in plain).split()
    return "-".join(words).encode()[:NAME_PART_BYTES].decode(errors="ignore")


def _create(path: Path) -> int:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND | getattr(os, "O_BINARY", 0)
    try:
        return os.open(path, flags, 0o644)
    except FileExistsError as error:
        raise RecordingFailed(f"{path} exists already and is not overwritten: choose another name") from error
    except (OSError, ValueError) as error:
        raise RecordingFailed(f"{path} can't be created ({_reason(error)}): choose another folder") from error


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)


def _sync_folder(folder: Path) -> None:
    """Put the new name itself on the disk, where the system lets one sync a folder."""
    with contextlib.suppress(OSError):
        fd = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(fd)
        finally:
            os.close(fd)
