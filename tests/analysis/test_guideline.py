"""The guideline file: what comes with the program, and what people may get wrong in their own."""

from __future__ import annotations

from pathlib import Path

import pytest

from analysis.guideline import BadGuideline, Guideline, load_guideline


def test_the_file_that_comes_with_the_program() -> None:
    # 20 % is common practice in the trade; no source is claimed for it.
    assert load_guideline() == Guideline()
    assert "no source" in load_guideline().source


def test_a_file_of_ones_own(tmp_path: Path) -> None:
    file = tmp_path / "wet.toml"
    file.write_text(
        'name = "wet"\nlower_limit_pct = 30\nconfidence = 0.99\nsource = "house rule"\n', encoding="utf-8"
    )
    assert load_guideline(file) == Guideline(30.0, 0.99, "wet", "house rule")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("lower_limit_pct = -3", "lower_limit_pct"),
        ("lower_limit_pct = 0", "lower_limit_pct"),
        ("lower_limit_pct = nan", "lower_limit_pct"),
        ("lower_limit_pct = inf", "lower_limit_pct"),
        ('lower_limit_pct = "twenty"', "must be a number"),
        ("lower_limit_pct = true", "must be a number"),
        ("confidence = 95", "0.95"),
        ("confidence = 0.5", "0.95"),
        ("this is no TOML", "another file"),
    ],
)
def test_what_cant_be_is_refused(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(BadGuideline, match=said):
        load_guideline(file)


def test_a_missing_or_binary_file(tmp_path: Path) -> None:
    with pytest.raises(BadGuideline, match="another file"):
        load_guideline(tmp_path / "none.toml")
    (tmp_path / "binary.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadGuideline, match="another file"):
        load_guideline(tmp_path / "binary.toml")
