"""One pull from outside: what is recorded, who waits for whom, and what does not come to a recording."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from firmware_protocol.vocabulary import Flag, stop_reason
from recordings.format import Specimen
from recordings.reader import read_recording
from rig.connect import connect
from rig.errors import BadPlan, RecordingFailed
from rig.run import PullRun, run_pull
from rig.simulated.server import serve
from rig.simulated.settings import SimulationSettings
from rig.snapshot import Phase
from tests.links import TODAY, simulated
from tests.rig.pulls import Watcher, plan

PATIENCE_S = 30.0


def test_what_a_recording_says(tmp_path: Path) -> None:
    stretcher, link = simulated("lightened", seed=4)
    wanted = plan(tmp_path / "new" / "folder", method={"operator": "b7"}, simulation={"strand": "lightened"})
    with stretcher:
        outcome = run_pull(stretcher, wanted)
    recording = read_recording(outcome.path)
    header, rows = recording.header, recording.rows
    assert outcome.path.parent == tmp_path / "new" / "folder"
    assert header.recorded_at == TODAY.isoformat(timespec="seconds")
    assert header.simulated
    assert header.simulation == {"strand": "lightened"}
    assert header.rig.port == "test://board"
    assert header.rig.board_id == stretcher.facts.board_id
    assert header.rig.sensor_bits == 24
    assert header.method == replace(wanted.method, speed_mm_min=60.0, force_limit_n=1.9, travel_limit_mm=30.0)
    assert header.specimen == wanted.specimen
    assert [mark.kind for mark in recording.marks] == ["zeroed", "started", "break_seen", "stopped"]
    zeroed, started, broke, _ = recording.marks
    rest = rows.counts[: zeroed.row]
    assert zeroed.data["n"] == len(rest)
    assert zeroed.data["counts"] == pytest.approx(sum(rest) / len(rest))
    assert started.row == zeroed.row
    assert rows.steps[started.row] == rows.steps[0]
    assert (rows.t_us[started.row - 1] - rows.t_us[0]) / 1e6 >= 1.0
    assert (rows.t_us[-1] - rows.t_us[broke.row - 1]) / 1e6 >= 0.5
    truth = link.board.truths[-1]
    assert truth.outcome == "broke"
    assert not rows.flags[-1] & Flag.MOVING
    assert stop_reason(rows.flags[-1]).name == "BREAK_SEEN"


def test_strand_breaks_where_the_recording_has_it(tmp_path: Path) -> None:
    """The last reading before the fall is where the model broke the strand, within the steps of two readings."""
    stretcher, link = simulated()
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    rows = read_recording(outcome.path).rows
    top = max(range(len(rows)), key=lambda i: rows.counts[i])
    truth = link.board.truths[-1]
    assert truth.break_us is not None
    assert rows.t_us[top] == pytest.approx(truth.break_us, abs=25_000)


def test_every_sample_is_shown_once_and_recorded_before(tmp_path: Path) -> None:
    watcher = Watcher()
    stretcher, _ = simulated()
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path), watcher)
    shown = 0
    for snapshot in watcher.seen:
        shown += len(snapshot.batch) if snapshot.batch else 0
        assert snapshot.rows == shown
    assert shown == outcome.rows
    last = watcher.seen[-1]
    assert last.phase is Phase.ENDED
    assert last.end_reason == "break"
    assert last.peak_force_n is not None
    assert last.peak_force_n == pytest.approx(1.04, abs=0.05)


def test_overloaded_cell_is_not_pulled_on(tmp_path: Path) -> None:
    stretcher, link = simulated()
    link.board.machine.amplifier._zero = 1e9
    with stretcher:
        outcome = run_pull(stretcher, plan(tmp_path))
    assert outcome.end_reason == "error"
    assert "end of its range" in outcome.message
    assert link.ran_s < 0.0


def test_folder_that_can_not_be_is_found_out_before_anything_moves(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    stretcher, link = simulated()
    with stretcher:
        stretcher.hold(1.0)
        with pytest.raises(RecordingFailed, match="choose another folder"):
            run_pull(stretcher, plan(tmp_path / "file"))
    assert link.ran_s < 0.0
    assert (tmp_path / "file").read_text() == "in the way"


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    stretcher, _ = simulated()
    with stretcher:
        paths = {
            run_pull(stretcher, plan(tmp_path, method={"travel_limit_mm": 1.0}, zero_s=0.2)).path for _ in "123"
        }
    assert len(paths) == 3
    assert all(read_recording(path).complete for path in paths)


def test_started_run_hands_over_its_outcome(tmp_path: Path) -> None:
    with serve(SimulationSettings(time_scale=20.0)) as server, connect(server.url) as stretcher:
        run = PullRun(stretcher, plan(tmp_path))
        assert not run.over
        run.start()
        assert run.wait(0.0) is None
        outcome = run.wait(PATIENCE_S)
        assert run.over
        assert run.wait() is outcome
    assert outcome is not None
    assert outcome.as_planned


def test_started_run_hands_over_what_ended_it(tmp_path: Path) -> None:
    with serve(SimulationSettings()) as server, connect(server.url) as stretcher:
        wanted = replace(plan(tmp_path), specimen=Specimen(0.0))
        run = PullRun(stretcher, wanted)
        run.start()
        with pytest.raises(BadPlan, match="gauge length of 0 mm"):
            run.wait(PATIENCE_S)
        assert run.over
    assert list(tmp_path.glob("*.pull.csv")) == []


def test_stop_asked_for_before_the_start(tmp_path: Path) -> None:
    stretcher, link = simulated()
    with stretcher:
        run = PullRun(stretcher, plan(tmp_path))
        run.request_stop()
        assert run.run().end_reason == "key"
    assert link.ran_s < 0.0


@pytest.mark.parametrize("time_scale", [0.1, 50.0])
def test_board_time_is_what_counts(tmp_path: Path, time_scale: float) -> None:
    """A simulated board that runs slower or faster than the clock on the wall is pulled all the same."""
    stretcher, _ = simulated(time_scale=time_scale)
    short = plan(tmp_path, method={"travel_limit_mm": 6.0})
    with stretcher:
        outcome = run_pull(stretcher, short)
    assert outcome.end_reason == "travel_limit"
    assert outcome.lost == 0
    rows = read_recording(outcome.path).rows
    assert (rows.t_us[-1] - rows.t_us[0]) / 1e6 > 1.0 + 6.0
