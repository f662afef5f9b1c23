"""The format's page says what the code does: its example is read, its lists are complete."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from recordings import format as format_module
from recordings.format import COLUMNS, End, Mark
from recordings.reader import read_recording_bytes

PAGE = Path(format_module.__file__).with_name("README.md").read_text(encoding="utf-8")
EXAMPLE = re.findall(r"```\n(# .*?)```", PAGE, re.DOTALL)[0].encode()


def kinds_in(docstring: str | None) -> set[str]:
    return set(re.findall(r'"(\w+)"', docstring or ""))


def test_the_example_is_a_recording() -> None:
    recording = read_recording_bytes("example", EXAMPLE)
    before = EXAMPLE[: EXAMPLE.rindex(b"# ")]
    assert recording.end is not None
    assert recording.end.sha256 == hashlib.sha256(before).hexdigest()
    assert recording.complete
    assert [mark.kind for mark in recording.marks] == ["zeroed", "note"]


def test_the_columns_are_listed() -> None:
    assert re.findall(r"^\| `(\w+)` \| (?:µs|count|step|) ?\|", PAGE, re.MULTILINE) == list(COLUMNS)


def test_all_kinds_of_marks_and_ends_are_listed() -> None:
    named = set(re.findall(r"`(\w+)`", PAGE))
    assert kinds_in(Mark.__doc__) <= named
    assert kinds_in(End.__doc__) <= named
