"""`calibrate force` as its user meets it: truth recovered on a simulated rig, tables read, nonsense refused."""

from __future__ import annotations

import contextlib
import json
import re
import socket
import sys
import threading
from pathlib import Path

import pytest

from rig.calibration_store import load_force
from rig.simulated.amplifier import COUNTS_PER_N
from rig.simulated.hook import GRAVITY_M_S2
from tests.tui.command_line import Cli, Said, assert_one_sentence
from tests.tui.hooks import PLACE, UP_AND_DOWN, hook, readings
from tests.tui.rigs import listening

QUICK = ("--wait-s", "0", "--seconds", "1")


def force(cli: Cli, address: str, *more: object, weights: str = "10,20,50,100") -> Said:
    return cli("calibrate", "force", "--port", address, "--weights", weights, *PLACE, *QUICK, *more)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_whole_command_recovers_the_scale_of_the_rig(cli: Cli, seed: int) -> None:
    with hook(*UP_AND_DOWN, seed=seed) as address:
        said = force(cli, address, "--json", "--person", "B7")
    assert said.status == 0, said.err
    found = json.loads(said.out)
    made = found["calibration"]
    assert found["accepted"]
    assert (made["kind"], made["person"]) == ("weights", "B7")
    u_rel = (made["u_n_per_count"] ** 2 * COUNTS_PER_N**2 + made["u_rel"] ** 2) ** 0.5
    assert abs(made["n_per_count"] * COUNTS_PER_N - 1) < 3 * u_rel
    # 20 levels of some 80 readings with 150 counts of noise: far better than the weights and gravity
    assert u_rel < 2e-4
    assert found["class"] == "0.5"
    assert [row["mass_g"] for row in found["loads"]] == list(UP_AND_DOWN)
    assert [row["rising"] for row in found["loads"]][4:8] == [True, False, False, False]
    assert {f["severity"] for f in found["findings"]} == set()


def test_it_is_kept_with_its_inputs_and_used_by_the_next_pull(cli: Cli, tmp_path: Path) -> None:
    with hook(*UP_AND_DOWN) as address:
        path = Path(json.loads(force(cli, address, "--json", "--due-months", "1").out)["file"])
        made = load_force(path, 0x5B000001)
        assert made.due > made.date
        assert made.identifier.startswith(f"force-{made.date}-")
        inputs = json.loads(path.read_text(encoding="utf-8"))["inputs"]
        assert len(inputs["readings"]) == len(UP_AND_DOWN)
        assert inputs["gravity_m_s2"] == pytest.approx(GRAVITY_M_S2, abs=1e-5)
        assert "GRS80" in inputs["gravity_source"]
        listed = cli("calibrate", "list", "--json")
    assert listed.status == 0
    (one,) = json.loads(listed.out)
    assert (one["file"], one["overdue"]) == (str(path), False)


def test_what_a_person_reads(cli: Cli) -> None:
    with hook(*UP_AND_DOWN) as address:
        said = force(cli, address)
    for words in ("counts per newton", "class 0.5", "as remembered, not read", "Kept in", "The board itself says"):
        assert words in " ".join(said.out.split())
    for words in ("Weights fall", "Step 17 of 17: take everything off", "take weights off until 50 g hang"):
        assert words in said.err


def test_two_weights_changed_over_are_named_and_nothing_is_kept(cli: Cli) -> None:
    swapped = [{20: 50, 50: 20}.get(mass, mass) for mass in UP_AND_DOWN]
    with hook(*swapped) as address:
        said = force(cli, address)
    assert said.status == 1
    assert "20 g and 50 g look changed over" in " ".join(said.err.split())
    assert said.err.splitlines()[-1].startswith("strandbench: The calibration was refused and nothing was kept:")
    assert "No calibration is kept" in cli("calibrate", "list").out


def test_only_upwards_leaves_what_it_does_not_show(cli: Cli) -> None:
    with hook(0, 10, 20, 50, 100, 0) as address:
        found = json.loads(force(cli, address, "--json", "--no-unloading", "--repeat", "1").out)
    assert {f["code"] for f in found["findings"]} == {"not_repeated", "not_reversed"}
    assert found["errors"]["reversibility_pct"] is None


def test_weights_in_any_order_are_hung_in_rising_order(cli: Cli) -> None:
    with hook(0, 10, 50, 100, 0) as address:
        said = force(cli, address, "--repeat", "1", "--no-unloading", weights="100,10,50")
    assert said.status == 0
    assert "hung in rising order, each once a turn: 10, 50, 100 g" in said.err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--weights", "10,20"), "2 different weights can't show whether the scale is straight"),
        (("--weights", "50"), "1 different weight can't"),
        (("--weights", "10,-20,50"), "can't be hung"),
        (("--weights", "0,10,20,50"), "above 0"),
        (("--weights", "ten,20"), "masses in grams"),
        (("--weights", "10,20,50", "--class", "Z9"), "weight class 'Z9' is unknown"),
        (("--weights", "10,20,0.00001", "--class", "M1"), "no weights that make up"),
        (("--weights", "10,20,50", "--u-mass-g", "20"), "can't be that of a weight of 10 g"),
        (("--weights", "10,20,50", "--lines", "force_counts"), "name a file with --out"),
        (("--readings", "hung.csv"), "not both|not one"),
        ((), "Give --port and the --weights"),
    ],
)
def test_weights_that_can_not_be(cli: Cli, options: tuple[str, ...], words: str) -> None:
    """Found out before the port is opened."""
    said = cli("calibrate", "force", "--port", "tcp://127.0.0.1:1", *options, *PLACE, *QUICK)
    sentence = said.err.strip().splitlines()[-1]
    assert re.search(words, sentence), said.err
    assert said.status in (1, 2)
    assert "Traceback" not in said.err


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ((), "Say where the rig stands"),
        (("--latitude", "91"), "a latitude lies between -90 and 90"),
        (("--latitude", "51.5", "--height", "99999"), "height above sea level"),
        (("--gravity", "981"), "gravity on Earth lies between"),
        (("--gravity", "9.81", "--latitude", "51"), "not both"),
        (("--height", "30"), "give --latitude as well"),
    ],
)
def test_a_place_that_can_not_be(cli: Cli, place: tuple[str, ...], words: str) -> None:
    port = ("--port", "tcp://127.0.0.1:1", "--weights", "10,20,50")
    assert words in assert_one_sentence(cli("calibrate", "force", *port, *place))


def test_a_southern_latitude_is_a_number(cli: Cli) -> None:
    said = cli(
        "calibrate", "force", "--port", "tcp://127.0.0.1:1", "--weights", "1,2,3", "--latitude", "-33.9", *QUICK
    )
    assert "Nothing listens" in said.err


def test_weights_that_would_overload_the_cell_are_not_hung(cli: Cli) -> None:
    with hook() as address:
        said = force(cli, address, weights="10,20,300")
    assert said.status == 1
    assert "300 g pull with 2.94 N and this load cell ends at 2 N" in said.err


def test_nobody_there_to_hang_them(cli: Cli) -> None:
    with hook() as address:
        said = cli("calibrate", "force", "--port", address, "--weights", "10,20,50", *PLACE)
    assert said.status == 1
    assert "run this in a terminal" in said.err


def test_a_table_of_readings(cli: Cli, tmp_path: Path) -> None:
    rows = [(0, 0), (10, 20), (50, -30), (100, 10), (150, 5), (100, 30), (50, 20), (0, 15)]
    out = tmp_path / "cell.json"
    table = readings(tmp_path / "hung.csv", *rows)
    said = cli(
        "calibrate", "force", "--readings", table, "--board", "63", "--gravity", "9.8119", "--out", out, "--json"
    )
    assert said.status == 0, said.err
    made = json.loads(said.out)["calibration"]
    # 35000 counts a gram at 9.8119 m/s2 in air: 35000 / (9.8119e-3 x 0.99985) counts per newton
    assert 1 / made["n_per_count"] == pytest.approx(35_000 / (9.8119e-3 * 0.99985), rel=1e-4)
    assert load_force(out, 0x63).n_per_count == made["n_per_count"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no table of readings"),
        ("mass_g\n0\n", "has no column counts"),
        ("mass_g,counts\n0,8000\nten,9000\n", "line 3: mass_g is 'ten'"),
        ("mass_g,counts\n0,8000\n10\n", "line 3: counts is ''"),
        ("mass_g,counts,n\n0,8000,1.5\n", "must be a whole number"),
        ("mass_g,counts,sd_counts\n0,8000,-1\n", "0 or more"),
        ("mass_g,counts,direction\n0,8000,sideways\n", "must be up or down"),
        ("mass_g,counts\n10,8000\n20,9000\n30,10000\n", "take the zero first"),
        ("mass_g,counts\n0,0\n10,nan\n", "must be a number"),
        ("mass_g;counts\n0;8000\n10;9000,5\n20;10000\n", "2 different weights"),
        ("mass_g,counts\n0,0\n-10,-1\n-20,-2\n-30,-3\n10,1\n", "calibrate in the pulling direction only"),
    ],
)
def test_tables_that_are_none_or_too_little(cli: Cli, tmp_path: Path, text: str, words: str) -> None:
    table = tmp_path / "hung.csv"
    table.write_text(text, encoding="utf-8")
    said = cli("calibrate", "force", "--readings", table, "--out", tmp_path / "out.json", *PLACE)
    assert words in " ".join(said.err.split())
    assert said.err.strip().splitlines()[-1].startswith("strandbench: ")
    assert said.status == 1
    assert not (tmp_path / "out.json").exists()


def test_the_limits_of_where_it_may_be_kept(cli: Cli, tmp_path: Path) -> None:
    table = readings(tmp_path / "hung.csv", (0, 0), (10, 0), (20, 0), (50, 0))
    assert "--board" in assert_one_sentence(cli("calibrate", "force", "--readings", table, *PLACE))
    said = cli("calibrate", "force", "--readings", table, *PLACE, "--out", table)
    assert "is there already" in assert_one_sentence(said)
    assert table.read_text(encoding="utf-8").startswith("mass_g")


@pytest.mark.parametrize("when", ["2999-01-01", "yesterday", "2026-02-30"])
def test_a_day_that_can_not_be(cli: Cli, tmp_path: Path, when: str) -> None:
    table = readings(tmp_path / "hung.csv", (0, 0), (10, 0), (20, 0), (50, 0))
    said = cli("calibrate", "force", "--readings", table, "--board", "63", *PLACE, "--date", when)
    assert "must be a day until today" in assert_one_sentence(said)


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals")
def test_guided_in_a_terminal_with_a_step_taken_back() -> None:
    from tests.tui.terminal import Terminal

    # The simulated person hangs the next weight at each level, also at one taken again: so 10 g come twice.
    with (
        hook(0, 10, 10, 20, 50, 0) as address,
        Terminal(
            "calibrate", "force", "--port", address, "--weights", "10,20,50", "--repeat", "1", "--no-unloading",
            "--seconds", "1", *PLACE,
        ) as terminal,
    ):  # fmt: skip
        terminal.wait_for("Step 1 of 5: take everything off the hook")
        terminal.type("")
        terminal.wait_for("Step 2 of 5: hang 10 g")
        terminal.type("")
        terminal.wait_for("Step 3 of 5: hang 20 g")
        terminal.type("u")
        terminal.wait_for("Step 2 of 5: hang 10 g")
        for step in ("Step 3 of 5", "Step 4 of 5", "Step 5 of 5"):
            terminal.type("")
            terminal.wait_for(step)
        terminal.type("")
        terminal.wait_for("Kept in")
        assert terminal.end() == 0


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals")
def test_giving_up_keeps_nothing() -> None:
    from tests.tui.terminal import Terminal

    with (
        hook(0, 10, 20, 50) as address,
        Terminal("calibrate", "force", "--port", address, "--weights", "10,20,50", *PLACE) as terminal,
    ):
        terminal.wait_for("Step 1 of")
        terminal.type("q")
        terminal.wait_for("nothing was kept")
        assert terminal.end() == 1


def test_a_board_that_prints_lines(cli: Cli, tmp_path: Path) -> None:
    """It prints the same few counts whatever is said to hang on it."""

    def talk(guest: socket.socket, over: threading.Event) -> None:
        with contextlib.suppress(OSError):
            for i in range(100_000):
                if over.wait(0.002):
                    return
                guest.sendall(f"{i * 12},{8000 + i % 3}\r\n".encode())

    out = tmp_path / "cell.json"
    with listening(talk) as address:
        lines = ("--lines", "time_ms,force_counts", "--out", out)
        said = force(cli, address, *lines, "--repeat", "1", "--no-unloading", weights="10,20,50")
        printed = force(cli, address, "--lines", "time_ms,force_mn", "--out", out, weights="10,20,50")
    assert said.status == 1, "nothing was hung, so the cell does not answer to load"
    assert "Step 5 of 5" in said.err
    assert "+0 counts" in said.err
    assert said.err.splitlines()[-1].startswith("strandbench: The calibration was refused")
    assert "can't be calibrated again" in printed.err
    assert not out.exists()
