"""Nothing that a board or a file says can steer the screen. Sequences as in ECMA-48 and common terminals."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.content import Content

from tui.safe_text import LONGEST_SHOWN, clean, for_markup


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("strand 7", "strand 7"),
        ("\x1b[31mred\x1b[0m", "red"),
        ("\x1b]0;window title\x07rig", "rig"),
        ("\x1b]8;;http://example.org\x1b\\link\x1b]8;;\x1b\\", "link"),
        ("\x9b2Jgone", "gone"),
        ("\x1bPdevice string\x1b\\rig", "rig"),
        ("\x1bcreset", "reset"),
        ("two\nlines\r\tand\x0ba tab", "two lines and a tab"),
        ("back\x08space\x7f\x00", "backspace"),
        ("evil\u202egpj.exe", "evilgpj.exe"),
        ("zero\u200bwidth\ufeff", "zerowidth"),
        ("line\u2028para\u2029", "line para"),
        ("unfinished \x1b[", "unfinished"),
        ("unfinished \x1b]0;title", "unfinished"),
        ("lone \ud800 surrogate", "lone surrogate"),
        ("Kraft [mN] µ²", "Kraft [mN] µ²"),
        ("ह\u093fन\u094dदी", "ह\u093fन\u094dदी"),
    ],
)
def test_what_is_left(text: str, expected: str) -> None:
    assert clean(text) == expected


def test_towers_of_accents_are_cut_and_long_text_is_shortened() -> None:
    assert clean("a" + "\u0301" * 50 + "b") == "a\u0301\u0301b"
    long = clean("x" * 10_000_000)
    assert len(long) == LONGEST_SHOWN
    assert long.endswith("…")


@given(st.text())
def test_only_printable_characters_on_one_line(text: str) -> None:
    line = clean(text)
    assert all(unicodedata.category(c) not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"} for c in line)
    assert len(line) <= LONGEST_SHOWN
    assert clean(line) == line


@given(st.one_of(st.text(), st.text(alphabet="[]\\/a @=(\"'")))
def test_markup_shows_as_itself(text: str) -> None:
    shown = Content.from_markup(f"[b]{for_markup(text)}[/b] end").plain
    assert shown.removesuffix(" end").rstrip(" ") == clean(text)
