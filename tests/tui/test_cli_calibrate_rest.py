"""`calibrate extension`, `give`, `check` and `list` as their user meets them, against the truth of the model."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from recordings.format import ExtensionCalibration, ForceCalibration
from rig.calibration_shelf import checks_of
from rig.calibration_store import load_extension, newest, store
from rig.model_truth import COMPLIANCE_MM_PER_N
from rig.simulated.amplifier import COUNTS_PER_N
from tests.tui.command_line import Cli, Said, assert_one_sentence
from tests.tui.hooks import hook

BOARD = 0x5B000001
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals")


def table(path: Path, *rows: str) -> Path:
    path.write_text("\n".join(["reference_mm,steps,direction", *rows]) + "\n", encoding="utf-8")
    return path


# --- extension -----------------------------------------------------------------------------------------------


def test_a_table_of_a_dial_gauge(cli: Cli, tmp_path: Path) -> None:
    rows = ("0,0,out", "1,800,out", "2,1600,out", "5,4000,out", "2.03,1600,back")
    path = table(tmp_path / "dial.csv", *rows)
    found = json.loads(cli("calibrate", "extension", "--readings", path, "--board", "63", "--json").out)
    assert found["calibration"]["mm_per_step"] == pytest.approx(1 / 800, rel=1e-9)
    assert found["backlash_mm"] == pytest.approx(0.03, abs=1e-6)
    assert [f["code"] for f in found["findings"]] == ["backlash"]
    # 0.006 mm at both ends of 5 mm
    assert found["calibration"]["u_rel"] == pytest.approx(0.006 * 2**0.5 / 5, rel=1e-3)


def test_counted_turns_and_what_they_lack(cli: Cli) -> None:
    turns = ("--turns", "10", "--lead-mm", "2", "--board", "63")
    made = json.loads(cli("calibrate", "extension", *turns, "--steps", "16000", "--json").out)["calibration"]
    assert (made["mm_per_step"], made["kind"]) == (0.00125, "counted turns")
    assert made["u_rel"] == pytest.approx(5e-4)
    assert "need all of" in assert_one_sentence(cli("calibrate", "extension", *turns))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "Give one way to calibrate"),
        (("--turns", "10", "--lead-mm", "0", "--steps", "100", "--board", "63"), "greater than zero"),
        (("--turns", "-1", "--lead-mm", "2", "--steps", "100", "--board", "63"), "greater than zero"),
        (("--turns", "10", "--lead-mm", "2", "--steps", "100"), "--board"),
        (("--port", "tcp://127.0.0.1:1", "--positions-mm", "0,1"), "at least 3 different lengths"),
        (("--port", "tcp://127.0.0.1:1", "--positions-mm", "0,1,2", "--blocks-mm", "1,2,3"), "not both"),
        (("--port", "tcp://127.0.0.1:1", "--positions-mm=-1,1,2"), "below 0"),
        (("--port", "tcp://127.0.0.1:1", "--u-mm", "0"), "above 0"),
    ],
)
def test_lengths_that_can_not_be(cli: Cli, options: tuple[str, ...], words: str) -> None:
    assert words in assert_one_sentence(cli("calibrate", "extension", *options))


def test_two_lengths_or_a_mistyped_one_are_refused(cli: Cli, tmp_path: Path) -> None:
    two = table(tmp_path / "two.csv", "0,0,out", "1,800,out")
    wrong = table(tmp_path / "wrong.csv", "0,0,out", "1,800,out", "2,1600,out", "8,2400,out", "4,3200,out")
    for path, words in ((two, "at least 3 different lengths"), (wrong, "8 mm at step 2400")):
        said = cli("calibrate", "extension", "--readings", path, "--board", "63")
        assert said.status == 1
        assert words in said.err
    assert "No calibration is kept" in cli("calibrate", "list").out


@POSIX
def test_a_dial_gauge_read_in_a_terminal_recovers_the_steps() -> None:
    from tests.tui.terminal import Terminal

    with (
        hook() as address,
        Terminal("calibrate", "extension", "--port", address, "--positions-mm", "0,1,2", "--no-return") as terminal,
    ):
        for step, reading in (
            ("Step 1 of 3, out at 0 mm", "5.000"),
            ("Step 2 of 3", "6,000"),
            ("Step 3 of 3", "x"),
        ):
            terminal.wait_for(step)
            terminal.type(reading)
        terminal.wait_for("Type a number")
        terminal.type("7.000")
        terminal.wait_for("1.250 ±")
        terminal.wait_for("Kept in")
        assert terminal.end() == 0


def test_nobody_there_to_read_the_dial(cli: Cli) -> None:
    with hook() as address:
        said = cli("calibrate", "extension", "--port", address)
    assert said.status == 1
    assert "Somebody has to read the gauge" in said.err


# --- give ----------------------------------------------------------------------------------------------------


@pytest.fixture
def wires(cli: Cli, tmp_path: Path) -> list[str]:
    """Recordings of a steel wire pulled in three lengths."""
    from rig.simulated.server import serve
    from rig.simulated.settings import SimulationSettings
    from tests.tui.rigs import FASTER

    found = []
    for length in (20, 40, 80):
        settings = SimulationSettings("stiff-wire", time_scale=FASTER, gauge_length_mm=float(length))
        with serve(settings) as server:
            how = ("--gauge-length-mm", length, "--diameter-um", "100", "--u-diameter-um", "1", "--yes", "--json")
            slowly = ("--speed-mm-min", "0.5", "--travel-mm", "1", "--force-limit-n", "1.5")
            said = cli("pull", "--port", server.url, *how, *slowly, "--out", tmp_path / "wire")
        found.append(json.loads(said.out)["recording"])
    return found


def test_the_rigs_own_give_is_recovered_and_kept(cli: Cli, wires: list[str]) -> None:
    said = cli("calibrate", "give", *wires, "--json")
    assert said.status == 0, said.err
    found = json.loads(said.out)
    assert found["mm_per_n"] == pytest.approx(COMPLIANCE_MM_PER_N, abs=3e-4)
    assert found["modulus_mpa"] == pytest.approx(200_000, rel=0.01)
    path = newest(BOARD, "extension")
    assert path is not None
    assert load_extension(path, BOARD).compliance_mm_per_n == found["mm_per_n"]


def test_what_gives_no_give(cli: Cli, wires: list[str], tmp_path: Path) -> None:
    assert "at least 3 different lengths" in assert_one_sentence(cli("calibrate", "give", *wires[:2]))
    assert "no-such.pull.csv" in assert_one_sentence(cli("calibrate", "give", tmp_path / "no-such.pull.csv"))
    changed = tmp_path / "changed.pull.csv"
    text = Path(wires[0]).read_text(encoding="utf-8").replace(f'"board_id": {BOARD}', '"board_id": 7')
    changed.write_text(text, encoding="utf-8")
    assert "was changed after the pull" in assert_one_sentence(cli("calibrate", "give", *wires, changed))
    cut = tmp_path / "cut.pull.csv"
    cut.write_text("\n".join(text.splitlines()[:-1]) + "\n", encoding="utf-8")
    assert "different boards" in assert_one_sentence(cli("calibrate", "give", *wires, cut))


def test_a_give_that_is_known_stays_when_the_steps_are_calibrated_anew(cli: Cli) -> None:
    store(
        ExtensionCalibration(0.00125, compliance_mm_per_n=0.02, u_compliance_mm_per_n=0.001, date="2026-01-01"),
        99,
        {},
    )
    turns = ("--turns", "10", "--lead-mm", "2", "--steps", "16000", "--board", "63", "--json")
    made = json.loads(cli("calibrate", "extension", *turns).out)["calibration"]
    assert (made["compliance_mm_per_n"], made["u_compliance_mm_per_n"]) == (0.02, 0.001)


# --- check ---------------------------------------------------------------------------------------------------


def check(cli: Cli, *hung: float, off: float = 1.0, more: tuple[object, ...] = (), strand: str = "hook") -> Said:
    """A check by a rig whose kept calibration is off by a factor."""
    kept = ForceCalibration(off / COUNTS_PER_N, u_rel=5e-4, kind="weights", date="2026-01-01", identifier="force-x")
    store(kept, BOARD, {"gravity_m_s2": 9.81194, "u_gravity_m_s2": 1e-4})
    with hook(*hung, strand=strand) as address:
        return cli("calibrate", "check", "--port", address, "--wait-s", "0", "--seconds", "1", *more)


@pytest.mark.parametrize(
    ("off", "outcome", "status"), [(1.0, "pass", 0), (1.006, "drifted", 0), (0.98, "recalibrate", 1)]
)
def test_a_weight_says_whether_the_scale_holds(cli: Cli, off: float, outcome: str, status: int) -> None:
    said = check(cli, 0, 100, 0, off=off, more=("--weight", "100", "--json", "--person", "B7"))
    assert said.status == status, said.err
    entry = json.loads(said.out)
    (found,) = entry["checks"]
    assert found["outcome"] == outcome
    assert found["off_pct"] == pytest.approx(100 * (off - 1), abs=0.02)
    logged = checks_of(BOARD)
    assert logged[-1] == entry
    assert logged[-1]["person"] == "B7"
    assert found["sentence"] in " ".join(cli("calibrate", "list").out.split())


def test_a_spring_says_so_too(cli: Cli) -> None:
    said = check(cli, 0, strand="reference-spring", more=("--spring-n-mm", "0.05", "--json"))
    assert said.status == 0, said.err
    (found,) = json.loads(said.out)["checks"]
    assert found["outcome"] == "pass"
    assert abs(found["off_pct"]) < 0.1
    softer = check(cli, 0, strand="reference-spring", more=("--spring-n-mm", "0.06"))
    assert softer.status == 1
    assert "✘ recalibrate: reference spring: -16.6" in softer.out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "Give what to check with"),
        (("--spring-n-mm", "0"), "above 0 N/mm"),
        (("--weight", "-5"), "--weight"),
        (("--weight", "100", "--class", "Z"), "is unknown"),
        (("--weight", "100", "--gravity", "1.6"), "gravity on Earth"),
    ],
)
def test_checks_that_can_not_be(cli: Cli, options: tuple[str, ...], words: str) -> None:
    assert words in assert_one_sentence(cli("calibrate", "check", "--port", "tcp://127.0.0.1:1", *options))


def test_a_weight_too_heavy_and_a_place_unknown(cli: Cli) -> None:
    assert "too heavy" in check(cli, 0, more=("--weight", "300")).err
    with hook(seed=2) as address:
        said = cli("calibrate", "check", "--port", address, "--weight", "100", "--wait-s", "0")
    assert "does not say where the rig stands" in said.err


# --- list ----------------------------------------------------------------------------------------------------


def test_the_list_names_what_is_overdue_and_what_is_damaged(cli: Cli) -> None:
    made = ForceCalibration(3e-7, kind="weights", date="2026-01-02", due="2026-02-01", person="B7")
    kept = store(made, 99, {})
    store(replace(made, due="2999-01-01"), 100, {})
    said = cli("calibrate", "list")
    assert said.status == 0
    assert said.out.count("! overdue") == 1
    assert "board 00000063  force      2026-01-02  weights, by B7, due 2026-02-01  ! overdue" in said.out
    only = cli("calibrate", "list", "--board", "64", "--json")
    assert [one["board_id"] for one in json.loads(only.out)] == [100]
    kept.write_text("{}", encoding="utf-8")
    damaged = cli("calibrate", "list")
    assert damaged.status == 1
    assert "not a calibration" in damaged.err
    assert "board 00000064" in damaged.out
