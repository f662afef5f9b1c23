"""Notes about a recording, kept in a text file beside it, one line a note; the recording is never changed."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from recordings.format import SUFFIX
from tui.safe_text import clean

#: What a file of notes is called, after the recording's own name.
NOTES_SUFFIX = ".notes.txt"

#: Longest note [characters].
LONGEST_NOTE = 400


def notes_path(recording: Path) -> Path:
    """The file of notes that belongs to a recording."""
    return recording.with_name(recording.name.removesuffix(SUFFIX) + NOTES_SUFFIX)


def keep_note(recording: Path, text: str) -> Path:
    """Add a note with the time it was written; the file it stands in. Raises OSError."""
    path = notes_path(recording)
    when = datetime.now().astimezone().isoformat(timespec="seconds")
    with path.open("a", encoding="utf-8") as file:
        file.write(f"{when}  {clean(text, LONGEST_NOTE)}\n")
    return path


def notes_of(recording: Path) -> list[str]:
    """The notes about a recording, clean, oldest first; none where there is no file or it can't be read."""
    try:
        text = notes_path(recording).read_text(encoding="utf-8", errors="replace")
    except OSError:
        return []
    return [clean(line, LONGEST_NOTE + 40) for line in text.splitlines() if line.strip()]
