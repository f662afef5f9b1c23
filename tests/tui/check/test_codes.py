"""Codes instead of names."""

from __future__ import annotations

import pytest

from tui.check.codes import LONGEST, key_of, looks_like_name, reference_problem

NAMES = (
    "Anna Smith", "anna smith", "SMITH, ANNA", "Mary-Jane O'Neil", "A. Smith", "anna.smith", "Anna_Smith",
    "Dr Anna  Smith", "Анна Петрова", "José Núñez", "Αννα Παπά", "Anna\tSmith", "Jose\u0301 Nunez",
)  # fmt: skip
CODES = ("HK-204", "a17", "B7", "blue-heron", "head A", "2026/14", "HK 204", "No 12", "invented-head", "7")


@pytest.mark.parametrize("text", NAMES)
def test_what_looks_like_a_name_is_refused_and_says_what_to_do(text: str) -> None:
    assert looks_like_name(text)
    assert reference_problem(text) != ""


def test_the_sentence_about_a_name_offers_a_code_and_does_not_repeat_the_name() -> None:
    said = reference_problem("Anna Smith")
    assert "HK-204" in said
    assert "Anna" not in said


@pytest.mark.parametrize("text", [code for code in CODES if code != "head A"])
def test_codes_are_taken(text: str) -> None:
    assert reference_problem(text) == ""


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "x" * (LONGEST + 1),
        "x" * 10_000_000,
        "a@b.example",
        "+44 20 7946 0958",
        "a\x1b[2Jb",
        "a\u202eb",
        "a\0b",
    ],
)
def test_nonsense_is_a_sentence(text: str) -> None:
    said = reference_problem(text)
    assert said.endswith(".")
    assert len(said) < 200
    assert "\x1b" not in said


def test_capitals_and_spaces_do_not_tell_clients_apart() -> None:
    assert key_of(" hk-204 ") == key_of("HK-204") == key_of("ＨＫ-204")
    assert key_of("HK-204") != key_of("HK-205")
