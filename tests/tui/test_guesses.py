"""Guesses kept and compared: what is understood, what counts, what survives, and what is said over a term."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.tui.command_line import Cli
from tui.classroom.guesses import (
    STALE,
    Book,
    Guess,
    Outcome,
    Round,
    keep_guess,
    keep_outcome,
    new_round,
    read_book,
    understood,
)
from tui.classroom.score_rows import off_text, score_rows, session_bars, term_lines
from tui.classroom.scores import scores_of, terms_of, whole_class
from tui.widgets.cells import text_of
from tui.widgets.signs import BRAILLE, PLAIN

T0 = datetime(2026, 9, 7, 10, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("STRANDBENCH_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


GOOD = {
    "K7 35": ("K7", 35.0),
    "k7 35": ("K7", 35.0),
    " mira:  41,5 % ": ("MIRA", 41.5),
    "a 0.1": ("A", 0.1),
    "Ö2 200": ("Ö2", 200.0),
    "A.B. 12": ("A.B.", 12.0),
    "K7": ("K7", None),
}


@pytest.mark.parametrize(("text", "expected"), GOOD.items(), ids=GOOD.keys())
def test_a_line_is_a_code_and_a_guess(text: str, expected: tuple[str, float | None]) -> None:
    typed = understood(text)
    assert (typed.student, typed.guess_pct, typed.problem) == (*expected, "")


BAD = [
    "", "   ", "35", "35 K7", "K7 -5", "K7 0", "K7 1e9", "K7 nan", "K7 inf", "K7 abc", "K7 200.1", "Maria Meier",
    "Marianne 30", "K7 30 40",
    "💇 30", "\x1b[31mK7 30", "K7 3_0", "_K 30", "K" * 10_000_000, "K7 " + "9" * 1_000_000,
]  # fmt: skip


@pytest.mark.parametrize("text", BAD, ids=lambda text: repr(text[:16]))
def test_nonsense_is_a_sentence(text: str) -> None:
    typed = understood(text)
    assert typed.problem.endswith(".")
    assert typed.student == ""


def test_what_was_typed_last_counts_and_can_be_taken_back() -> None:
    name = new_round(T0)
    for number, (student, guess) in enumerate(
        [("K7", 30.0), ("AB", 20.0), ("K7", 35.0), ("M", 50.0), ("AB", None)]
    ):
        keep_guess(name, student, guess, T0 + timedelta(seconds=number))
    (one,) = read_book().rounds
    assert [(g.student, g.guess_pct) for g in one.guesses] == [("K7", 35.0), ("M", 50.0)]
    keep_guess(name, "AB", 22.0, T0 + timedelta(seconds=9))
    assert [g.student for g in read_book().rounds[0].guesses] == ["K7", "AB", "M"]


def test_a_round_waits_for_its_pull_and_no_longer_than_a_day_at_school() -> None:
    assert read_book().open_round(T0) is None
    first, second = new_round(T0), new_round(T0)
    assert first != second
    keep_guess(first, "K7", 30.0, T0)
    found = read_book().open_round(T0 + timedelta(hours=1))
    assert found is not None
    assert found.name == first
    assert read_book().open_round(T0 + STALE) is None
    keep_outcome(Outcome(first, T0, "a.pull.csv", 33.0, 0.4))
    assert read_book().open_round(T0 + timedelta(hours=1)) is None
    keep_guess(second, "K7", 30.0, T0)
    keep_guess(second, "K7", None, T0)
    assert read_book().open_round(T0) is None, "nobody's guess is left"


def test_a_damaged_line_costs_one_guess_and_is_said(home: Path) -> None:
    name = new_round(T0)
    for student in ("A", "B", "C"):
        keep_guess(name, student, 30.0, T0)
    path = home / "guesses.jsonl"
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0] + b"\x00\xff nonsense\n" + lines[2])
    book = read_book()
    assert [g.student for g in book.rounds[0].guesses] == ["A", "C"]
    assert "line 2" in book.problem


def rounds(*measured: tuple[int, float, dict[str, float]]) -> list[Round]:
    made = []
    for number, (day, truth, guesses) in enumerate(measured):
        name, when = f"r{number}", T0 + timedelta(days=day, minutes=number)
        made.append(
            Round(
                name,
                when,
                tuple(Guess(name, when, student, guess) for student, guess in guesses.items()),
                Outcome(name, when, f"{number}.pull.csv", truth, 0.4),
            )
        )
    return made


def test_scores_are_guess_minus_measurement_the_closest_first() -> None:
    (one,) = rounds((0, 41.3, {"A": 20.0, "B": 42.0, "C": 45.0}))
    scores = scores_of(one)
    assert [score.student for score in scores] == ["B", "C", "A"]
    assert [round(score.off_pct, 9) for score in scores] == [0.7, 3.7, -21.3]
    assert scores_of(Round("r", T0, one.guesses)) == []


# Bland & Altman, Lancet 1986;i:307-310, peak expiratory flow by two meters, first readings of 17 subjects [l/min]:
# mean difference -2.1, standard deviation 38.8, limits of agreement -79.7 and 75.5 (with 2 s; 1.96 s gives
# -78.1 and 73.9).
LARGE = (494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427)
MINI = (512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451)


def test_bias_and_limits_are_those_of_the_published_example() -> None:
    pulls = rounds(*((0, float(mini), {"K7": float(large)}) for large, mini in zip(LARGE, MINI, strict=True)))
    (term,) = terms_of(pulls)
    assert term.agreement is not None
    assert round(term.agreement.bias, 1) == round(term.mean_off_pct, 1) == -2.1
    assert round(term.agreement.sd, 1) == 38.8
    assert (round(term.agreement.lower, 1), round(term.agreement.upper, 1)) == (-78.1, 73.9)


def test_sessions_are_days_and_a_term_says_whether_they_come_closer() -> None:
    pulls = rounds(
        *((7 * week, 40.0, {"A": 40.0 + 16.0 / 2**week + 0.1 * k, "B": 30.0}) for week in range(5) for k in (0, 1))
    )
    a, b = terms_of(pulls)
    assert [round(off, 2) for off in a.per_session] == [16.05, 8.05, 4.05, 2.05, 1.05]
    assert a.trend is not None
    assert a.trend.direction == "closer"
    assert b.trend is not None
    assert b.trend.direction == "unclear"
    together = whole_class(pulls)
    assert together is not None
    assert len(together.scores) == 20


def test_too_little_is_said_to_be_too_little() -> None:
    (term,) = terms_of(rounds((0, 40.0, {"A": 41.0})))
    assert term.agreement is None
    assert term.trend is None
    assert "too few" in term_lines([term])[1]
    assert whole_class([]) is None


@pytest.mark.parametrize("width", [20, 60, 80, 200])
@pytest.mark.parametrize("signs", [BRAILLE, PLAIN], ids=["braille", "plain"])
def test_a_row_shows_which_way_and_how_far(width: int, signs: object) -> None:
    (one,) = rounds((0, 40.0, {"A": 20.0, "B": 60.0, "C": 40.0}))
    rows = [text_of(tuple(row)) for row in score_rows(scores_of(one), width, signs)]  # type: ignore[arg-type]
    words = rows[-3:]
    assert [row.split()[0] for row in words] == ["C", "A", "B"]
    assert words[0].endswith("spot on")
    assert words[1].endswith("20.0 too low")
    assert words[2].endswith("20.0 too high")
    if width >= 60:
        dot, upright = signs.dot, signs.upright  # type: ignore[attr-defined]
        assert words[1].index(dot) < words[1].index(upright)
        assert words[2].index(dot) > words[2].index(upright)
        assert len({row.index(upright) for row in words[1:]}) == 1, "the measured value stands in one column"


def test_words_never_say_zero_off() -> None:
    assert off_text(0.04) == "spot on"
    assert off_text(-0.06) == "0.1 too low"


def test_bars_of_sessions_are_as_long_as_how_far_off() -> None:
    assert session_bars([16.0, 8.0, 4.0, 0.0]) == "█▅▃▁"
    assert session_bars([]) == ""
    assert session_bars([0.0, 0.0]) == "▁▁"
    assert len(session_bars(range(100))) == 12


def write_term() -> None:
    for week in range(3):
        when = T0 + timedelta(days=7 * week)
        name = new_round(when)
        keep_guess(name, "K7", 30.0 + week, when)
        keep_guess(name, "=CMD", 50.0, when)
        keep_outcome(Outcome(name, when, "2026-09-07_h.pull.csv", 41.25, 0.43))
    keep_guess(new_round(T0 + timedelta(days=30)), "K7", 33.0, T0 + timedelta(days=30))


def test_the_command_prints_rounds_and_the_term(cli: Cli) -> None:
    write_term()
    said = cli("guesses")
    assert said.status == 0
    assert "2026-09-07 10:00  2026-09-07_h.pull.csv: measured 41.2 %" in said.out
    assert "11.2 too low" in said.out
    assert "not pulled yet" in said.out
    assert "Over all sessions" in said.out


def test_the_command_gives_csv_and_json_that_say_the_same(cli: Cli) -> None:
    write_term()
    rows = list(csv.DictReader(io.StringIO(cli("guesses", "--csv").out)))
    found = json.loads(cli("guesses", "--json").out)
    assert len(rows) == 7
    assert float(rows[0]["off_pct"]) == pytest.approx(-11.25)
    assert rows[-1]["measured_pct"] == ""
    assert [g["off_pct"] for r in found["rounds"] for g in r["guesses"]] == [
        float(row["off_pct"]) if row["off_pct"] else None for row in rows
    ]
    assert found["rounds"][0]["measured_pct"] == {"value": 41.25, "u": 0.43}
    k7 = next(one for one in found["students"] if one["student"] == "K7")
    assert k7["guesses"] == 3
    assert k7["mean_off_pct"] == pytest.approx(-10.25)
    assert k7["agreement"]["bias"] == pytest.approx(-10.25)
    assert k7["trend"]["per_session"] == pytest.approx(-1.0)


def test_nothing_kept_is_said_and_no_failure(cli: Cli) -> None:
    said = cli("guesses")
    assert (said.status, said.out) == (0, "")
    assert "No guess was ever kept" in said.err
    assert json.loads(cli("guesses", "--json").out) == {"rounds": [], "students": []}
    assert cli("guesses", "--json", "--csv").status != 0


def test_an_empty_book() -> None:
    assert Book(()).open_round(T0) is None
    assert Book(()).round_named("x") is None
    assert score_rows([], 80, BRAILLE) == []
