"""Pulls of a check whose recordings are there but which the card does not know: the program ended in between."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from tui.check.card import Card
from tui.check.course import NotNow, with_pull

#: Files older than the check by more than this are not looked into.
BEFORE = timedelta(hours=1)


def strays(card: Card, folder: Path) -> list[Path]:
    """The recordings of the card's check that are not on it, the oldest first. Reads files."""
    from recordings.format import SUFFIX

    check = card.check
    if check is None or not folder.is_dir():
        return []
    known = {Path(pull.recording).name for pull in check.pulls}
    since_s = (check.begun - BEFORE).timestamp()
    found = [
        (path.stat().st_mtime, path)
        for path in folder.glob(f"*{SUFFIX}")
        if path.name not in known and path.stat().st_mtime >= since_s and _series_of(path) == check.series
    ]
    return [path for _, path in sorted(found)]


def _series_of(path: Path) -> str:
    """What a recording says it belongs to; "" where it can't be read."""
    from recordings.reader import read_recording

    try:
        return read_recording(path).header.specimen.series
    except Exception:  # a damaged file among the good ones is none of ours
        return ""


def with_strays(card: Card, paths: list[Path], at: datetime) -> Card:
    """The card with those pulls on it, as far as the plan has room."""
    for path in paths:
        if card.check is None:
            break
        try:
            card = replace(card, check=with_pull(card.check, str(path), at))
        except NotNow:
            break
    return card
