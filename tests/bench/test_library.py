"""A library of ten thousand recordings: how quickly it opens and filters, as ratios in one run.

`python -m tests.bench.test_library` prints the figures.
"""

from __future__ import annotations

import json
import os
import statistics
import sys
import tempfile
import timeit
from collections.abc import Callable
from pathlib import Path

import pytest

from tui.library.index import index, keep_items, kept_items, listed
from tui.library.item import Item
from tui.library.search import Found, findable, matching

COUNT = 10_000
#: Opening with a kept index may take so many times what listing the folder and parsing as much JSON take (measured:
#: about 3).
MOST_OPENINGS = 8.0
#: Filtering by two words may take so many times what looking for one word in as much text takes (measured: about
#: 7).
MOST_FILTERS = 20.0


def once(run: Callable[[], object]) -> float:
    return timeit.timeit(run, number=1)


def make(folder: Path) -> None:
    """Ten thousand small files that are named as recordings, and a kept index that knows them all."""
    for number in range(COUNT):
        (folder / f"2026-01-01_{number:05}.pull.csv").write_bytes(b"x")
    items = {}
    for number, (path, stamp) in enumerate(listed(folder).stamps.items()):
        zone, history = ("crown", "nape")[number % 2], f"history {number % 7}"
        name, at = Path(path).name, "2026-01-01T10:00:00+00:00"
        items[path] = Item(path, name, stamp, "", at, f"H-{number}", "", zone, history, "dry", outcome="broke",
                           verdict="meets", elongation_pct=41.0, u_pct=0.6)  # fmt: skip
    keep_items(folder, items)


def open_library(folder: Path) -> list[Found]:
    (progress,) = index(folder, lambda: False)
    assert progress.waiting == 0
    return [findable(item) for item in progress.items]


def plain_opening(folder: Path) -> object:
    """The least that it can take: look at every file, and parse as much JSON as is kept."""
    with os.scandir(folder) as entries:
        stamps = {entry.path: entry.stat().st_mtime_ns for entry in entries}
    row = json.dumps(["x" * 30] * 14 + [True, 1.0, 1.0])
    return stamps, [json.loads(row) for _ in range(len(stamps))]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ten thousand")
    home = pytest.MonkeyPatch()
    home.setenv("STRANDBENCH_HOME", str(tmp_path_factory.mktemp("home")))
    make(folder)
    return folder


def test_opening_against_the_least_it_can_take(folder: Path) -> None:
    assert len(kept_items(folder, listed(folder))) == COUNT
    turns = [(once(lambda: open_library(folder)), once(lambda: plain_opening(folder))) for _ in range(5)]
    assert statistics.median(open_s / plain_s for open_s, plain_s in turns) < MOST_OPENINGS


def test_filtering_against_looking_for_one_word(folder: Path) -> None:
    found = open_library(folder)
    texts = [one.text for one in found]
    assert len(matching(found, "crown zone:crown")) == COUNT // 2

    def plain() -> object:
        return [text for text in texts if "crown" in text]

    turns = [(once(lambda: matching(found, "crown meets")), once(plain)) for _ in range(15)]
    assert statistics.median(filter_s / plain_s for filter_s, plain_s in turns) < MOST_FILTERS


def main() -> int:
    """Print the figures of this machine."""
    with tempfile.TemporaryDirectory() as home, tempfile.TemporaryDirectory() as name:
        os.environ["STRANDBENCH_HOME"] = home
        folder = Path(name)
        make(folder)
        found = open_library(folder)
        for what, run in (
            ("opening", lambda: open_library(folder)),
            ("the least it can take", lambda: plain_opening(folder)),
            ("filtering by two words", lambda: matching(found, "crown meets")),
        ):
            best = min(timeit.repeat(run, number=1, repeat=5))
            sys.stdout.write(f"{what}, {COUNT} recordings: {1e3 * best:.1f} ms\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
