"""`strandbench study`: the manual's worked example through the command, strands by who pulled, bad tables."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.analysis.series.test_studies import AIAG
from tests.tui.command_line import ROOT, Cli, assert_one_sentence

DEMO = sorted((ROOT / "recordings" / "demo").glob("head-*.pull.csv"))


@pytest.fixture
def springs(tmp_path: Path) -> Path:
    rows = [
        f"{part},{person},{value}"
        for person, parts in AIAG.items()
        for part, values in enumerate(parts, 1)
        for value in values
    ]
    path = tmp_path / "springs.csv"
    path.write_text("part,person,value\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_the_manuals_example(cli: Cli, springs: Path) -> None:
    # AIAG, Measurement Systems Analysis, 4th ed., Table III-B
    found = json.loads(cli("study", "--json", springs).out)
    assert found["repeatability_sd"] == pytest.approx(0.199933, abs=1e-6)
    assert found["reproducibility_sd"] == pytest.approx(0.226838, abs=1e-6)
    assert found["categories"] == 4
    assert "4 kinds" in cli("study", springs).out


def test_strands_by_head(cli: Cli) -> None:
    said = cli("study", "--by", "reference", "--json", *DEMO)
    found = json.loads(said.out)
    assert set(found["groups"]) == {"head-A", "head-B"}
    assert found["between_sd"] > 5 * found["repeatability_sd"]


def test_bad_input_is_one_sentence(cli: Cli, springs: Path, tmp_path: Path) -> None:
    gap = tmp_path / "gap.csv"
    gap.write_text("\n".join(springs.read_text(encoding="utf-8").splitlines()[:-4]), encoding="utf-8")
    assert "equally often" in assert_one_sentence(cli("study", gap))
    words = tmp_path / "words.csv"
    words.write_text("part,person,value\n1,A,two\n", encoding="utf-8")
    assert "no number" in assert_one_sentence(cli("study", words))
    other = tmp_path / "other.csv"
    other.write_text("a,b\n1,2\n", encoding="utf-8")
    assert "lacks the column 'part'" in assert_one_sentence(cli("study", other))
    assert_one_sentence(cli("study", DEMO[0], DEMO[1]))
    assert_one_sentence(cli("study", "--of", "nonsense", *DEMO))
