"""Everything that can be wrong with what the command line is given: one sentence, non-zero, nothing overwritten."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from rig.connect import connect
from tests.tui.command_line import Cli, assert_one_sentence
from tests.tui.rigs import echo, garbage, listening, say_nothing, simulated

#: As short as a recording can be that was pulled to its end.
PULL = ("--gauge-length-mm", "30", "--yes")


def snapshot(folder: Path) -> dict[str, bytes]:
    """Everything in a folder, to see that nothing was touched."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def last_sentence(err: str) -> str:
    """The complaint at the end of a story that was told on stderr."""
    complaints = [line for line in err.splitlines() if line.startswith("strandbench: ")]
    assert len(complaints) == 1, err
    assert err.rstrip().endswith(complaints[0])
    assert "Traceback" not in err
    return complaints[0]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder for recordings with one thing in it that must stay."""
    (tmp_path / "kept.pull.csv").write_text("somebody's work", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("port", "words"),
    [
        ("/dev/ttyNOWHERE7", "There is no port"),
        ("tcp://127.0.0.1:1", "Nothing listens at tcp://127.0.0.1:1"),
        ("tcp://127.0.0.1", "write it like tcp://"),
        ("tcp://nowhere.invalid:5555", "nowhere.invalid"),
        ("nonsense://x", "not a port this program knows"),
        ("", "No port was named"),
    ],
)
@pytest.mark.skipif(sys.platform == "win32", reason="the names of ports differ there")
def test_a_port_that_is_not_there(cli: Cli, folder: Path, port: str, words: str) -> None:
    before = snapshot(folder)
    said = cli("pull", "--port", port, *PULL, "--out", folder)
    assert said.status == 1
    assert words in last_sentence(said.err)
    assert said.out == ""
    assert snapshot(folder) == before


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals")
def test_a_port_that_is_busy(cli: Cli, folder: Path) -> None:
    import os

    import serial

    master, device = os.openpty()
    name = os.ttyname(device)
    with serial.Serial(name, exclusive=True):
        said = cli("pull", "--port", name, *PULL, "--out", folder)
    os.close(master)
    os.close(device)
    assert said.status == 1
    assert "in use by another program" in last_sentence(said.err)


def test_a_rig_that_another_program_holds(cli: Cli, folder: Path) -> None:
    with simulated() as address, connect(address):
        said = cli("pull", "--port", address, *PULL, "--out", folder)
    assert said.status == 1
    assert address in last_sentence(said.err)


def test_a_file_that_is_not_a_port(cli: Cli, folder: Path) -> None:
    said = cli("pull", "--port", folder / "kept.pull.csv", *PULL, "--out", folder)
    assert said.status == 1
    assert "port" in last_sentence(said.err)


@pytest.mark.parametrize("talk", [say_nothing, echo, garbage])
def test_something_that_is_not_a_rig(cli: Cli, folder: Path, talk: object) -> None:
    before = snapshot(folder)
    with listening(talk) as address:  # type: ignore[arg-type]
        said = cli("pull", "--port", address, *PULL, "--out", folder)
    assert said.status == 1
    complaint = last_sentence(said.err)
    assert "Nothing answers" in complaint or "is not a strand rig" in complaint
    assert "\x1b" not in said.err
    assert snapshot(folder) == before


@pytest.mark.parametrize("fault", ["wrong-protocol", "wrong-table"])
def test_a_rig_of_another_version(cli: Cli, folder: Path, fault: str) -> None:
    before = snapshot(folder)
    with simulated("virgin", fault) as address:
        said = cli("pull", "--port", address, *PULL, "--out", folder)
    assert said.status == 1
    assert "update" in last_sentence(said.err).lower()
    assert snapshot(folder) == before


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--gauge-length-mm", "0"), "gauge length"),
        (("--gauge-length-mm", "3000000"), "gauge length"),
        (("--gauge-length-mm=-30",), "gauge length"),
        (("--gauge-length-mm", "30", "--diameter-um=-70"), "diameter"),
        (("--gauge-length-mm", "30", "--diameter-um", "7000"), "diameter"),
        (("--gauge-length-mm", "thirty"), "must be a number"),
        (("--gauge-length-mm", "nan"), "must be a number"),
        (("--gauge-length-mm", "\x1b[2J"), "must be a number"),
        ((), "--gauge-length-mm"),
        (("--gauge-length-mm", "30", "--condition", "damp"), "--condition"),
        (("--gauge-length-mm", "30", "--baud", "7"), "--baud"),
        (("--gauge-length-mm", "30", "--guideline-pct", "0"), "--guideline-pct"),
    ],
)
def test_a_strand_that_cannot_be(cli: Cli, folder: Path, options: tuple[str, ...], words: str) -> None:
    """Found out before the port is opened."""
    before = snapshot(folder)
    said = cli("pull", "--port", "tcp://127.0.0.1:1", *options, "--out", folder, "--yes")
    assert words in assert_one_sentence(said)
    assert snapshot(folder) == before


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--speed-mm-min", "0"), "speed"),
        (("--speed-mm-min", "1e6"), "speed"),
        (("--travel-mm", "5000"), "travel"),
        (("--force-limit-n", "50"), "force limit"),
        (("--force-calibration", "nowhere.json"), "nowhere.json"),
        (("--out", "kept.pull.csv"), "kept.pull.csv"),
    ],
)
def test_a_pull_that_this_rig_cannot_do(
    cli: Cli, folder: Path, monkeypatch: pytest.MonkeyPatch, options: tuple[str, str], words: str
) -> None:
    monkeypatch.chdir(folder)
    before = snapshot(folder)
    with simulated() as address:
        said = cli("pull", "--port", address, *PULL, *options)
    assert said.status == 1
    assert words in last_sentence(said.err)
    assert said.out == ""
    assert snapshot(folder) == before


@pytest.fixture
def recording(cli: Cli, tmp_path: Path) -> Path:
    """A whole recording of a strand that breaks early."""
    with simulated("over-processed") as address:
        said = cli("pull", "--port", address, *PULL, "--out", tmp_path / "made", "--json")
    assert said.status == 0, said.err
    return Path(json.loads(said.out)["recording"])


def test_an_altered_recording(cli: Cli, recording: Path) -> None:
    text = recording.read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)
    place = len(lines) // 2
    digit = lines[place].index(",") - 1
    lines[place] = lines[place][:digit] + str(9 - int(lines[place][digit])) + lines[place][digit + 1 :]
    recording.write_text("".join(lines), encoding="utf-8", newline="\n")
    before = recording.read_bytes()
    for command in ("analyse", "verify"):
        said = cli(command, recording)
        assert "changed" in assert_one_sentence(said)
        assert said.out == ""
    even_so = cli("analyse", "--even-if-altered", "--json", recording)
    assert even_so.status == 0
    assert "altered" in {flag["code"] for flag in json.loads(even_so.out)["flags"]}
    assert recording.read_bytes() == before


def test_a_cut_recording(cli: Cli, recording: Path) -> None:
    """A killed run is a shorter recording: it can be analysed, and says that it is incomplete."""
    whole = recording.read_bytes()
    recording.write_bytes(whole[: len(whole) * 2 // 3])
    assert "cut off" in assert_one_sentence(cli("verify", recording))
    said = cli("analyse", "--json", recording)
    assert said.status == 0
    result = json.loads(said.out)
    assert result["complete"] is False
    assert "incomplete" in {flag["code"] for flag in result["flags"]}
    recording.write_bytes(whole[:40])
    assert_one_sentence(cli("analyse", recording))


FILES = {
    "empty.csv": b"",
    "blank.csv": b"\n\n\n",
    "words.csv": b"these are\njust some words\n",
    "picture.csv": bytes(range(256)) * 20,
    "notable.xlsx": b"PK\x03\x04 not really a workbook",
    "no_force.csv": b"Time [s],Extension [mm]\n0,0\n1,0.3\n2,0.6\n3,0.9\n",
    "header_only.csv": b"Force [N],Extension [mm]\n",
    "wrong.pull.csv": b"this is no recording\n",
    "evil.pull.csv": b'# {"format": "\x1b[2Jstrandbench-pull", "version": 1}\n',
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_gives_no_result(cli: Cli, tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(FILES[name])
    said = cli("analyse", "--gauge-length-mm", "30", path)
    assert_one_sentence(said)
    assert said.out == ""
    assert path.read_bytes() == FILES[name]


def test_a_table_without_a_force_column_says_how_to_name_it(cli: Cli, tmp_path: Path) -> None:
    (tmp_path / "table.csv").write_bytes(FILES["no_force.csv"])
    complaint = assert_one_sentence(cli("analyse", "--gauge-length-mm", "30", tmp_path / "table.csv"))
    assert "no force column" in complaint
    assert "--force" in complaint


TABLE = "Extension [mm];Kraft [mN]\n" + "".join(
    f"{x / 10:.1f};{800 * min(x, 40) / 40 if x < 60 else 1:.1f}\n".replace(".", ",") for x in range(80)
)


@pytest.mark.parametrize("wrong", ["0", "-30", "3000000"])
def test_a_gauge_length_that_cannot_be_for_a_table(cli: Cli, tmp_path: Path, wrong: str) -> None:
    path = tmp_path / "table.csv"
    path.write_text(TABLE, encoding="utf-8")
    assert "gauge length" in assert_one_sentence(cli("analyse", f"--gauge-length-mm={wrong}", path))
    assert "diameter" in assert_one_sentence(cli("analyse", "--gauge-length-mm=30", f"--diameter-um={wrong}", path))


def test_one_bad_file_among_good_ones(cli: Cli, tmp_path: Path) -> None:
    good, bad = tmp_path / "good.csv", tmp_path / "bad.csv"
    good.write_text(TABLE, encoding="utf-8")
    bad.write_bytes(b"")
    said = cli("analyse", "--json", "--gauge-length-mm", "30", bad, good, tmp_path / "missing.csv")
    assert said.status == 1
    assert [Path(r["recording"]).name for r in json.loads(said.out)] == ["good.csv"]
    assert len(said.err.splitlines()) == 2
    assert "bad.csv is empty" in said.err
    assert "missing.csv" in said.err


def test_nothing_but_bad_files_is_an_empty_list(cli: Cli, tmp_path: Path) -> None:
    said = cli("analyse", "--json", tmp_path / "a.csv", tmp_path / "b.csv")
    assert said.status == 1
    assert json.loads(said.out) == []


@pytest.mark.parametrize("command", ["analyse", "verify", "decode"])
def test_a_folder_or_nothing_instead_of_a_file(cli: Cli, tmp_path: Path, command: str) -> None:
    assert "folder" in assert_one_sentence(cli(command, tmp_path))
    assert "no" in assert_one_sentence(cli(command, tmp_path / "nowhere"))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--strand", "unicorn"), "no simulated strand called 'unicorn'"),
        (("--fault", "gremlin"), "no fault called 'gremlin'"),
        (("--fault", "glitch@soon"), "NAME@SECONDS"),
        (("--listen", "carrier-pigeon"), "tcp://HOST:PORT"),
        (("--listen", "tcp://127.0.0.1:99999"), "no address"),
        (("--time-scale", "0"), "time scale"),
        (("--rate-hz", "1e9"), "rate"),
        (("--gauge-length-mm", "0"), "gauge length"),
        (("--humidity-pct", "-5"), "humidity"),
        (("--seed", "x"), "whole number"),
    ],
)
def test_a_simulated_rig_that_cannot_be(cli: Cli, options: tuple[str, str], words: str) -> None:
    said = cli("simulate", f"{options[0]}={options[1]}")
    assert words in assert_one_sentence(said)
    assert said.out == ""


def test_a_port_to_listen_on_that_is_taken(cli: Cli) -> None:
    with simulated() as address:
        said = cli("simulate", "--listen", address)
    assert "choose another port" in assert_one_sentence(said)
