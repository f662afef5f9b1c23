"""Setting up a series: every answer that can't be is a sentence, and a file goes through the same checks."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from tui.lab.answers import LARGEST_FILE, QUESTIONS, BadSetUp, answers_in, parts_of, plan_of
from tui.lab.plan import Air, Group

BEGUN = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ANSWERS = {question.key: question.first for question in QUESTIONS} | {"name": "Trial", "groups": "a, b"}
CHECKS = {question.key: question.check for question in QUESTIONS}

GOOD = """
name = "Trial"
groups = ["untreated", "lightened"]
condition = "both"
zones = ["crown", "nape"]
strands = 4
gauge_length_mm = 25.5
kind = "hold"
speed_mm_min = 12
temperature_c = 20.5
humidity_pct = 64
"""


@pytest.mark.parametrize("key", ["strands", "gauge_length_mm", "speed_mm_min", "temperature_c", "humidity_pct"])
@pytest.mark.parametrize("text", ["abc", "1e9", "-3", "nan", "inf", "🦄", "\x1b[31m5", "1_000", "٣٠٠٠٠"])
def test_nonsense_in_a_number_is_a_sentence(key: str, text: str) -> None:
    if (key, text) == ("temperature_c", "-3"):
        text = "-300"
    problem = CHECKS[key](text)
    assert problem.endswith(".")
    assert "\x1b" not in problem


@pytest.mark.parametrize("key", ["name", "groups", "zones"])
@pytest.mark.parametrize("text", ["", "   ", ",,,", "\x1b[2J", "x" * 10_000_000])
def test_nonsense_in_a_name_is_a_sentence(key: str, text: str) -> None:
    if key == "name" and text == ",,,":
        assert CHECKS[key](text) == ""
    else:
        assert CHECKS[key](text).endswith(".")


def test_too_many_groups_are_refused() -> None:
    assert "at most" in CHECKS["groups"](",".join(map(str, range(9))))


def test_names_are_clean_and_each_stands_once() -> None:
    assert parts_of(" a,b ,a,\x1b[31mc, ,") == ("a", "b", "c")


def test_the_first_answers_make_a_plan() -> None:
    assert all(CHECKS[key](text) == "" for key, text in ANSWERS.items())
    plan = plan_of(ANSWERS, BEGUN)
    assert plan.groups == (Group("a", "dry"), Group("b", "dry"))
    assert (plan.strands, plan.gauge_length_mm, plan.kind, plan.speed_mm_min) == (5, 30.0, "pull_to_break", None)
    assert plan.air == Air()


def test_a_file_gives_the_same_plan_as_the_answers(tmp_path: Path) -> None:
    path = tmp_path / "trial.toml"
    path.write_text(GOOD, encoding="utf-8")
    plan = plan_of(answers_in(path), BEGUN)
    assert [group.name for group in plan.groups] == [
        "untreated, dry",
        "untreated, wet",
        "lightened, dry",
        "lightened, wet",
    ]
    assert (plan.kind, plan.strands, plan.gauge_length_mm, plan.speed_mm_min) == ("hold", 4, 25.5, 12.0)
    assert plan.air == Air(20.5, 64.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name = ", "not a TOML file"),
        ("nmae = 'x'", "“nmae”"),
        (GOOD.replace('"both"', '"damp"'), "dry, wet, both"),
        (GOOD.replace('"hold"', '"twist"'), "pull_to_break"),
        (GOOD.replace("strands = 4", "strands = 0"), "strands is “0”"),
        (GOOD.replace("25.5", "1000000000"), "gauge_length_mm"),
        (GOOD.replace("64", '"damp"'), "humidity_pct is “damp”"),
        (GOOD.replace('name = "Trial"', ""), "Give the series a name"),
        (GOOD.replace('"Trial"', '{a = "\\u001b[2J"}'), ""),
        ("# " + "x" * LARGEST_FILE, "too large"),
        ("a = " + "[" * 5000, "not a TOML file"),
    ],
)
def test_a_file_with_a_mistake_says_which(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "trial.toml"
    path.write_text(text, encoding="utf-8")
    if not said:
        assert "\x1b" not in plan_of(answers_in(path), BEGUN).name
        return
    with pytest.raises(BadSetUp, match=said):
        answers_in(path)


def test_a_file_that_is_no_text_is_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "trial.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadSetUp, match="not a TOML file"):
        answers_in(path)
