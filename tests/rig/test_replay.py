"""A recording replayed gives the batches that were shown live."""

from __future__ import annotations

from array import array
from pathlib import Path

import pytest

from recordings.format import Header, Mark, Method, Recording, RigInfo, Rows, Specimen
from recordings.reader import read_recording
from rig.replay import batches_of, paced, scale_of
from rig.run import run_pull
from rig.samples import joined
from tests.links import Corrupting, LockstepClock, simulated
from tests.rig.pulls import Watcher, plan


def recording(n: int, *marks: Mark, step_us: int = 12_500) -> Recording:
    rows = Rows(
        array("q", range(0, n * step_us, step_us)), array("q", range(n)), array("q", range(n)), array("q", [0] * n)
    )
    header = Header("2026-11-25", True, "test", RigInfo("invented"), Specimen(30.0), Method())
    return Recording("invented", header, rows, marks, None)


@pytest.mark.parametrize("damaged", [False, True])
def test_live_and_replayed_are_the_same(tmp_path: Path, damaged: bool) -> None:
    watcher = Watcher()
    stretcher, _ = simulated(wrap=(lambda link: Corrupting(link, 0.005)) if damaged else (lambda link: link))
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), watcher)
    live = [snapshot.batch for snapshot in watcher.seen if snapshot.batch]
    found = read_recording(outcome.path)
    assert joined(batches_of(found)) == joined(live)
    assert joined(paced(found, LockstepClock(), speed=50.0)) == joined(live)
    assert scale_of(found) == watcher.seen[-1].scale
    assert (sum(batch.lost for batch in live) > 0) is damaged


@pytest.mark.parametrize("size", [1, 7, 100, 1000])
def test_batches_end_where_something_was_lost(size: int) -> None:
    found = list(
        batches_of(recording(100, Mark("gap", 0, data={"lost": 5}), Mark("gap", 40, data={"lost": 2})), size)
    )
    assert [count for batch in found for count in batch.counts] == list(range(100))
    assert {batch.counts[0]: batch.lost for batch in found if batch.lost} == {0: 5, 40: 2}
    assert max(len(batch) for batch in found) <= size


def test_empty_recording() -> None:
    assert list(batches_of(recording(0))) == []
    assert list(paced(recording(0), LockstepClock())) == []
    assert scale_of(recording(0)).zero_counts == 0.0


def test_loss_after_the_last_row_belongs_to_no_batch() -> None:
    assert [b.lost for b in batches_of(recording(3, Mark("gap", 3, data={"lost": 9})))] == [0]


@pytest.mark.parametrize("speed", [0.5, 1.0, 4.0])
def test_pace(speed: float) -> None:
    """Every row comes when its time has come, and hardly later."""
    clock = LockstepClock()
    began_s = clock.now_s()
    for batch in paced(recording(200), clock, speed):
        passed_s = (clock.now_s() - began_s) * speed
        assert batch.t_us[-1] / 1e6 <= passed_s + 1e-9
        assert batch.t_us[0] / 1e6 >= passed_s - 0.021 * speed - 0.0125
    assert clock.now_s() - began_s == pytest.approx(199 * 0.0125 / speed, abs=0.05)
