"""Proof, hold, stretch and return, before and after, and the figures of results: as a person types them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.tui.command_line import Cli, assert_one_sentence
from tests.tui.rigs import simulated

DEMO = Path(__file__).resolve().parents[2] / "recordings" / "demo"
BROKEN = DEMO / "head-A_virgin_crown_1.pull.csv"
SHORT = {"proof": (), "hold": ("--hold-s", 20), "stretch-return": ("--hold-s", 1, "--rest-s", 5)}
KINDS = tuple(SHORT)
SIGNATURES = {".png": b"\x89PNG", ".svg": b"<?xml", ".pdf": b"%PDF"}


@pytest.fixture(scope="module")
def recordings(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """One recording of each kind, made by the rig itself."""
    from recordings.format import Method, Specimen
    from rig.plan import PullPlan
    from rig.run import run_pull
    from tests.links import simulated as in_lockstep

    made = {}
    wanted = {
        "proof": Method(kind="proof"),
        "hold": Method(kind="hold", hold_s=20.0),
        "stretch-return": Method(kind="stretch_return", hold_s=1.0, rest_s=5.0),
        "after": Method(kind="proof"),
    }
    for name, method in wanted.items():
        folder = tmp_path_factory.mktemp(name)
        treated = {"treatment": "peroxide"} if name == "after" else {}
        stretcher, _ = in_lockstep(seed=5, time_scale=20.0, **treated)  # type: ignore[arg-type]
        specimen = Specimen(30.0, reference="invented", diameter_um=70.0)
        with stretcher:
            made[name] = run_pull(stretcher, PullPlan(specimen, method, folder, calibration_folder=folder)).path
    return made


@pytest.mark.parametrize("kind", KINDS)
def test_pull_of_each_kind(cli: Cli, tmp_path: Path, kind: str) -> None:
    with simulated() as port:
        options = ("--kind", kind, *SHORT[kind], "--json", "--out", tmp_path)
        said = cli("pull", "--port", port, "--gauge-length-mm", 30, *options)
    assert said.status == 0, said.err
    told = json.loads(said.out)
    name = kind.replace("-", "_")
    assert told["kind"] == name
    assert told["outcome"] == "no_break"
    assert told["verdict"]["class"] == "meets"
    assert told[name]["strain_reached_pct"]["value"] > 20.0
    assert "keep fingers away" in said.err


def test_proof_of_a_strand_that_breaks(cli: Cli, tmp_path: Path) -> None:
    with simulated("over-processed") as port:
        said = cli("pull", "--port", port, "--gauge-length-mm", 30, "--kind", "proof", "--json", "--out", tmp_path)
    assert said.status == 0
    told = json.loads(said.out)
    assert told["outcome"] == "broke"
    assert told["verdict"]["class"] == "below"
    assert "kind" not in told


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (("--kind", "proof", "--hold-s", "5"), "has no hold"),
        (("--kind", "hold", "--hold-s", "1"), "give 10 to 7200 s"),
        (("--kind", "stretch-return", "--to-pct", "90"), "give 2 to 60 %"),
        (("--to-pct", "20"), "no strain to stop at"),
        (("--kind", "dance"), "invalid choice"),
        (("--kind", "proof", "--lines", "force_mn,position_um"), "moved by hand"),
    ],
)
def test_kinds_that_can_not_be(cli: Cli, tmp_path: Path, options: tuple[str, ...], sentence: str) -> None:
    with simulated() as port:
        said = cli("pull", "--port", port, "--gauge-length-mm", 30, *options, "--out", tmp_path)
    assert said.status != 0
    assert sentence in said.err
    assert "Traceback" not in said.err
    assert not list(tmp_path.glob("*.pull.csv"))


@pytest.mark.parametrize("kind", KINDS)
def test_result_in_words(cli: Cli, recordings: dict[str, Path], kind: str) -> None:
    said = cli("analyse", recordings[kind])
    assert said.status == 0
    title = {"proof": "Proof", "hold": "Hold", "stretch-return": "Stretch and return"}[kind]
    assert re.search(rf"^  {title}$", said.out, re.MULTILINE)
    assert "kept whole" in said.out
    assert "safe" not in said.out
    labels = {"proof": "stretched by", "hold": "half-time", "stretch-return": "came back at once"}
    assert labels[kind] in said.out


@pytest.mark.parametrize("ending", SIGNATURES)
@pytest.mark.parametrize("kind", KINDS)
def test_figure_of_each_kind(cli: Cli, recordings: dict[str, Path], tmp_path: Path, kind: str, ending: str) -> None:
    path = tmp_path / f"strand{ending}"
    said = cli("analyse", recordings[kind], "--figure", path)
    assert said.status == 0
    assert f"Figure: {path}" in said.err
    assert path.read_bytes().startswith(SIGNATURES[ending])


def test_figure_of_a_pull_to_the_break(cli: Cli, tmp_path: Path) -> None:
    path = tmp_path / "strand.svg"
    assert cli("analyse", BROKEN, "--figure", path).status == 0
    assert path.read_bytes().startswith(b"<?xml")


def test_several_figures_are_numbered(cli: Cli, tmp_path: Path) -> None:
    said = cli("analyse", BROKEN, DEMO / "head-A_virgin_crown_2.pull.csv", "--figure", tmp_path / "all.png")
    assert said.status == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["all-1.png", "all-2.png"]


def test_figure_that_can_not_be_saved_so(cli: Cli, tmp_path: Path) -> None:
    said = cli("analyse", BROKEN, "--figure", tmp_path / "strand.bmp")
    assert said.status != 0
    assert ".png, .svg, .pdf" in assert_one_sentence(said)
    said = cli("analyse", BROKEN, "--figure", tmp_path / "no" / "folder.png")
    assert said.status != 0
    assert "Traceback" not in said.err


def test_before_and_after(cli: Cli, recordings: dict[str, Path], tmp_path: Path) -> None:
    pair = ("--before", recordings["proof"], "--after", recordings["after"])
    said = cli("compare", *pair, "--figure", tmp_path / "change.png")
    assert said.status == 0
    assert "of the work that it had taken before" in " ".join(said.out.split())
    assert "work to 20 % stretch that is left" in said.out
    assert (tmp_path / "change.png").read_bytes().startswith(b"\x89PNG")
    told = json.loads(cli("compare", *pair, "--json").out)
    assert told["kind"] == "before_after"
    assert told["before"] == str(recordings["proof"])
    assert 70.0 < told["work_to_20pct_left_pct"]["value"] < 78.0


def test_before_and_after_that_can_not_be(cli: Cli, recordings: dict[str, Path]) -> None:
    before, after = recordings["proof"], recordings["after"]
    for arguments, sentence in (
        (("--before", before), "both --before FILE and --after FILE"),
        (("--before", before, "--after", after, BROKEN), "stand alone"),
        (("--before", before, "--after", BROKEN), "not of one strand"),
        (("--before", before, "--after", before.parent / "none.pull.csv"), "none.pull.csv"),
    ):
        said = cli("compare", *arguments)
        assert said.status != 0
        assert sentence in assert_one_sentence(said)


def test_help_explains_each_kind(cli: Cli) -> None:
    help_text = " ".join(cli("pull", "--help").out.split())
    for told in (
        "proof: to the guideline",
        "stretch-return: the test between two fingers",
        "hold: stretched and held",
    ):
        assert told in help_text
    assert "a night in water" in help_text
    compare = " ".join(cli("compare", "--help").out.split())
    assert "a fixed place on the curve, not the guideline" in compare


def test_simulated_treatments_are_listed_and_unknown_ones_refused(cli: Cli) -> None:
    listed = cli("simulate", "--list").out
    assert "treatments:" in listed
    assert "4 h in 6 % hydrogen peroxide" in listed
    said = cli("simulate", "--treatment", "magic", "--listen", "tcp://127.0.0.1:0")
    assert said.status != 0
    assert "no simulated treatment called 'magic'" in assert_one_sentence(said)
