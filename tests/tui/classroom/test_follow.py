"""Recordings read along while they are written: live from the file, whatever its writer does."""

from __future__ import annotations

import os
import time
from importlib import resources
from pathlib import Path

import pytest

from tests.tui.rigs import simulated
from tui.classroom.broadcast import Broadcast, Had
from tui.classroom.follow import FRESH_S, Follower
from tui.classroom.page_values import kept, result_value

DEMO = Path(str(resources.files("recordings.demo")))
VIRGIN = DEMO / "head-A_virgin_crown_1.pull.csv"


@pytest.fixture
def broadcast() -> Broadcast:
    return Broadcast()


def news(broadcast: Broadcast) -> dict[str, dict[str, object]]:
    return broadcast.news(Had())


@pytest.mark.parametrize("size", [1, 7, 997, 10_000_000], ids=["bytewise", "7 bytes", "997 bytes", "at once"])
def test_a_recording_is_shown_as_it_grows(tmp_path: Path, broadcast: Broadcast, size: int) -> None:
    data = VIRGIN.read_bytes()
    if size == 1:
        data = data[:4000]
    follower = Follower(tmp_path, broadcast)
    follower.poll()
    path = tmp_path / VIRGIN.name
    with path.open("wb", buffering=0) as file:
        for start in range(0, len(data), size):
            file.write(data[start : start + size])
            follower.poll()
    for _ in range(5):
        follower.poll()
    pull = news(broadcast)["pull"]
    assert pull["title"] == "head-A, crown, virgin, dry"
    assert pull["simulated"] is True
    if size > 1:
        assert pull["phase"] == "ended"
        assert pull["region"] == "post_yield"
        broke = pull["broke"]
        assert isinstance(broke, list)
        # The result takes out slack of about 0.4 mm on 30 mm, which is not known while it is pulled.
        assert broke[0] == pytest.approx(42.3, abs=2.5)
        assert broke[1] == pytest.approx(0.70, abs=0.02)
        assert news(broadcast)["result"]["file"] == VIRGIN.name


def test_at_first_the_newest_recording_there_is_the_last_result(tmp_path: Path, broadcast: Broadcast) -> None:
    for number, path in enumerate(sorted(DEMO.glob("head-A_v*_crown_*.pull.csv"))):
        copy = tmp_path / path.name
        copy.write_bytes(path.read_bytes())
        os.utime(copy, (1000.0 + number, 1000.0 + number))
    follower = Follower(tmp_path, broadcast)
    follower.poll()
    found = news(broadcast)
    assert found["pull"]["number"] == 0, "nothing is being pulled"
    assert found["result"]["file"] == "head-A_virgin_crown_2.pull.csv"


def test_a_recording_in_the_middle_of_being_written_is_gone_on_with(tmp_path: Path, broadcast: Broadcast) -> None:
    data = VIRGIN.read_bytes()
    path = tmp_path / VIRGIN.name
    path.write_bytes(data[: len(data) // 2])
    follower = Follower(tmp_path, broadcast)
    follower.poll()
    assert news(broadcast)["pull"]["phase"] == "pulling"
    path.write_bytes(data)
    for _ in range(5):
        follower.poll()
    assert news(broadcast)["pull"]["phase"] == "ended"


def test_a_recording_that_was_cut_long_ago_is_no_pull_under_way(tmp_path: Path, broadcast: Broadcast) -> None:
    path = tmp_path / VIRGIN.name
    path.write_bytes(VIRGIN.read_bytes()[:30_000])
    old = time.time() - 2 * FRESH_S
    os.utime(path, (old, old))
    Follower(tmp_path, broadcast).poll()
    assert news(broadcast)["pull"]["number"] == 0


BROKEN = {
    "nonsense": b"\x00\xff nonsense\n" * 100,
    "another table": b"time,force\n1,2\n",
    "header then nonsense": VIRGIN.read_bytes()[:2500].rsplit(b"\n", 1)[0] + b"\n1,2\nx,y,z,w\n",
    "huge numbers": VIRGIN.read_bytes().split(b"\n", 2)[0]
    + b"\nt_us,counts,steps,flags\n"
    + b"9" * 5000
    + b",1,1,1\n",
    "empty": b"",
}


@pytest.mark.parametrize("data", BROKEN.values(), ids=BROKEN.keys())
def test_what_is_no_recording_harms_nothing_and_the_next_one_is_shown(
    tmp_path: Path, broadcast: Broadcast, data: bytes
) -> None:
    follower = Follower(tmp_path, broadcast)
    follower.poll()
    (tmp_path / "bad.pull.csv").write_bytes(data)
    for _ in range(4):
        follower.poll()
    (tmp_path / VIRGIN.name).write_bytes(VIRGIN.read_bytes())
    for _ in range(6):
        follower.poll()
    assert news(broadcast)["result"]["file"] == VIRGIN.name


def test_a_folder_that_comes_later_and_goes_again_is_no_trouble(tmp_path: Path, broadcast: Broadcast) -> None:
    folder = tmp_path / "later"
    follower = Follower(folder, broadcast)
    follower.poll()
    folder.mkdir()
    (folder / VIRGIN.name).write_bytes(VIRGIN.read_bytes())
    for _ in range(4):
        follower.poll()
    assert news(broadcast)["pull"]["phase"] == "ended", "made after the first look: it is a pull, not an old one"
    (folder / VIRGIN.name).unlink()
    folder.rmdir()
    follower.poll()


def test_a_real_pull_is_followed_to_its_result(tmp_path: Path, broadcast: Broadcast) -> None:
    """A simulated rig behind a port, pulled by the command line's own way, read along from its file."""
    from recordings.format import Specimen
    from rig.connect import connect
    from rig.plan import PullPlan
    from rig.run import run_pull
    from rig.snapshot import nobody

    follower = Follower(tmp_path, broadcast)
    follower.start()
    try:
        with simulated("over-processed") as url, connect(url) as stretcher:
            outcome = run_pull(stretcher, PullPlan(Specimen(30.0, history="bleached"), directory=tmp_path), nobody)
        deadline = time.monotonic() + 20.0
        had = Had()
        while broadcast.news(had).get("result") is None:
            assert time.monotonic() < deadline
            broadcast.wait(had, 1.0)
    finally:
        follower.close()
    found = news(broadcast)
    assert found["pull"]["title"] == "bleached"
    assert found["pull"]["broke"] is not None
    assert found["result"] == {**result_value(outcome.path), "file": outcome.path.name}


@pytest.mark.parametrize("count", [0, 1, 2, 1499, 1500, 1501, 100_000])
def test_points_are_thinned_from_end_to_end(count: int) -> None:
    found = kept(count)
    assert len(found) == min(count, 1500)
    assert found == sorted(set(found))
    if count:
        assert (found[0], found[-1]) == (0, count - 1)
