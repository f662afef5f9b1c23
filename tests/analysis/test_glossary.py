"""The glossary says what the code says: every result, further measure, outcome, verdict and flag, and no other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from analysis.details import DEFINITIONS
from analysis.results import QUANTITIES

FOLDER = Path(__file__).resolve().parents[2] / "analysis"
TEXT = (FOLDER / "GLOSSARY.md").read_text(encoding="utf-8")


def section(title: str) -> str:
    """The part of the glossary under a heading."""
    return TEXT.split(f"\n## {title}\n", 1)[1].split("\n## ", 1)[0]


def first_column(text: str) -> list[str]:
    return re.findall(r"^\| `([a-z0-9_]+)` \|", text, flags=re.MULTILINE)


def source() -> str:
    rooms = ("*.py", "pull/*.py", "kinds/*.py", "tables/*.py")
    files = [file for room in rooms for file in FOLDER.glob(room)]
    return "\n".join(file.read_text(encoding="utf-8") for file in files)


def test_results() -> None:
    assert first_column(section("Results of one pull")) == list(QUANTITIES)


def test_results_of_other_kinds() -> None:
    from analysis.kinds import before_after, proof, recovery, relaxation

    named = {*proof.QUANTITIES, *recovery.QUANTITIES, *relaxation.QUANTITIES}
    named |= {name for name in before_after.BeforeAfter.__slots__ if name.endswith(("_pct", "_mm"))}
    assert set(first_column(section("Results of other kinds of pull"))) == named


def test_further_measures() -> None:
    assert first_column(section("Further measures")) == list(DEFINITIONS)


def test_flags() -> None:
    """Codes stand as the first word of a Flag, or of a pair of code and sentence in a trace's notes."""
    code = source()
    raised = set(re.findall(r'Flag\(\s*"([a-z_]+)"', code))
    raised |= set(re.findall(r'\(\(?"([a-z_]+)",\s*f?"[A-Z]', code))
    assert set(first_column(section("Flags"))) == raised | {"summary_row"}
    assert '"summary_row"' in code or "summary_row" in code


@pytest.mark.parametrize("word", ["broke", "slipped", "clamp_break", "no_break", "stopped", "bad_test"])
def test_outcomes(word: str) -> None:
    assert word in first_column(section("How a pull ended"))
    assert f'"{word}"' in source()


def test_verdicts() -> None:
    found = first_column(section("How a pull ended"))
    assert found[6:] == ["meets", "below", "too_close", "no_verdict"]


def test_names_in_the_symbol_table_are_names_of_the_code() -> None:
    code = source()
    for names in re.findall(r"^\| [^|]+ \| (`[^|]+`) \|", section("Symbols"), flags=re.MULTILINE):
        for name in re.findall(r"`([a-z0-9_]+)`", names):
            assert re.search(rf"\b{name}\b", code), name
