# SPDX-License-Identifier: GPL-3.0-or-later
"""Deliberate bugs: each is built into an image of its own, and the test that should catch it must fail on it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

import pytest

from firmware_protocol.messages import Move
from firmware_protocol.vocabulary import EventCode
from tests.emulated_bench import (
    build,
    sessions,
    test_equality,
    test_line,
    test_pulls,
    test_restarts,
    test_stops,
    test_time,
)
from tests.emulated_bench.core_mutants import CORE_MUTANTS
from tests.emulated_bench.host import Host, gaps
from tests.emulated_bench.mutants import Mutant, Survivor
from tests.emulated_bench.rigs import EmulatedRig
from tests.emulated_bench.simulated_rig import SimulatedRig
from tests.emulated_bench.strands import HIGH_LIMIT
from tests.emulated_bench.survivors import SURVIVORS
from tests.emulated_bench.thin_mutants import THIN_MUTANTS

MODULES = {
    module.__name__.rpartition(".")[2]: module
    for module in (test_line, test_pulls, test_restarts, test_stops, test_time)
}
BUILDERS = 2
MUTANTS = (*THIN_MUTANTS, *CORE_MUTANTS)


def changed(bug: Mutant | Survivor, folder: Path) -> Path:
    """The firmware's sources with the bug in, under `folder`."""
    board = folder / str(bug.name).replace(" ", "_").replace("'", "")
    shutil.copytree(build.BOARD, board, ignore=shutil.ignore_patterns("build", "*.md"))
    path = board / bug.file
    text = path.read_text(encoding="utf-8")
    assert text.count(bug.old) == 1, f"{bug.name}: {bug.file} has changed"
    path.write_text(text.replace(bug.old, bug.new), encoding="utf-8")
    return board


@pytest.fixture(scope="module")
def images(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Future[Path]]:
    """An image for each bug, being built while the first ones are tried."""
    folder = tmp_path_factory.mktemp("mutants")
    pool = ThreadPoolExecutor(BUILDERS)
    made = {bug.name: pool.submit(build.firmware, changed(bug, folder)) for bug in (*MUTANTS, *SURVIVORS)}
    pool.shutdown(wait=False)
    return made


def begin(rig: EmulatedRig, host: Host) -> None:
    """The least a board does: it starts once, identifies itself and streams for a second."""
    host.run(1000)
    assert host.codes == [EventCode.BOOT]
    assert host.bad_frames == 0
    assert host.session.counters.unknown == 0


def begin_moving(rig: EmulatedRig, host: Host) -> None:
    """It also goes somewhere and back, and its readings are numbered and right."""
    rig.set("offset_counts", 123_457)
    host.run(200)
    for target in (300, -300):
        host.expect(Move(0, target, 4_000_000, HIGH_LIMIT))
        host.run_until(EventCode.MOVE_DONE)
        assert rig.get("position") == target
    assert gaps(host.samples) == 0
    assert host.samples[-1].counts == 123_457


TRIALS: dict[str, Callable[..., None]] = {"begin": begin, "begin_moving": begin_moving}


def trial(bug: Mutant) -> Callable[[], object]:
    """What must fail on this bug."""
    name, _, test = bug.caught_by.partition(".")
    if hasattr(sessions, name):
        return lambda: test_equality.test_one_behaviour(getattr(sessions, name), SimulatedRig)
    function: Callable[..., None] = getattr(MODULES[name], test) if test else TRIALS[name]
    if "host" not in function.__annotations__:
        return lambda: function(EmulatedRig(), *bug.parameters)

    def with_host() -> None:
        rig = EmulatedRig()
        host = Host(rig)
        host.begin()
        function(rig, host, *bug.parameters)

    return with_host


@pytest.mark.parametrize("bug", MUTANTS, ids=str)
def test_bug_is_caught(bug: Mutant, images: dict[str, Future[Path]], monkeypatch: pytest.MonkeyPatch) -> None:
    image = images[bug.name].result()
    monkeypatch.setattr(build, "firmware", lambda: image)
    with pytest.raises(AssertionError):
        trial(bug)()


def test_trials_pass_on_the_sound_firmware() -> None:
    """The two trials that are no tests of their own; the others run as such."""
    for function in TRIALS.values():
        rig = EmulatedRig()
        host = Host(rig)
        host.begin()
        function(rig, host)
        rig.close()


@pytest.mark.parametrize("bug", SURVIVORS, ids=lambda bug: bug.name.replace(" ", "_"))
def test_bug_that_nothing_here_sees(
    bug: Survivor, images: dict[str, Future[Path]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """So that the list stays honest: were one of them caught, it would belong to the others."""
    image = images[bug.name].result()
    monkeypatch.setattr(build, "firmware", lambda: image)
    test_equality.test_one_behaviour(sessions.faults, SimulatedRig)
    rig = EmulatedRig()
    host = Host(rig)
    host.begin()
    test_pulls.test_a_pull_ends_at_the_break_with_no_sample_lost(rig, host)
    rig.close()
