"""`strandbench explain`: the budget adds up, trials agree with it, and nonsense is one sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.tui.command_line import ROOT, Cli, assert_one_sentence

BROKE = ROOT / "recordings" / "demo" / "head-A_virgin_crown_1.pull.csv"
SLIPPED = ROOT / "recordings" / "demo" / "head-A_slipped.pull.csv"


def test_the_budget_adds_up_and_trials_agree(cli: Cli) -> None:
    said = cli("explain", "--json", "--trials", "50000", BROKE)
    assert said.status == 0
    found = json.loads(said.out)
    budget, trials = found["budget"], found["trials"]
    assert sum(row["variance_pct"] for row in budget["rows"]) == pytest.approx(100, abs=0.5)
    assert sum(row["share"] ** 2 for row in budget["rows"]) == pytest.approx(budget["u"] ** 2, rel=0.005)
    assert [r["variance_pct"] for r in budget["rows"]] == sorted(
        (r["variance_pct"] for r in budget["rows"]), reverse=True
    )
    assert trials["u"] == pytest.approx(budget["u"], rel=0.03)
    assert trials["low"] == pytest.approx(budget["value"] - budget["k"] * budget["u"], abs=0.1 * budget["u"])
    assert found["details"]["work_to_15pct_mj_m3"]["value"] > 0


def test_a_person_reads_what_to_do(cli: Cli) -> None:
    said = cli("explain", BROKE)
    text = " ".join(said.out.split())
    assert "To be surer: measure the distance between the clamps better" in text
    assert "yield by Meredith" in text


def test_a_slipped_strand_has_no_budget_of_its_break(cli: Cli) -> None:
    said = cli("explain", SLIPPED)
    assert said.status == 0
    assert "nothing to budget" in said.out
    assert json.loads(cli("explain", "--json", SLIPPED).out)["budget"] is None


def test_bad_input_is_one_sentence(cli: Cli, tmp_path: Path) -> None:
    assert "no quantity 'nonsense'" in assert_one_sentence(cli("explain", "--of", "nonsense", BROKE))
    assert_one_sentence(cli("explain", tmp_path / "none.csv"))
    assert_one_sentence(cli("explain", "--trials", "5", BROKE))
