"""Results and progress as text: every verdict has a sign and words, nothing foreign steers the screen."""

from __future__ import annotations

import io
import sys
from dataclasses import replace

import numpy as np
import pytest

from analysis.results import QUANTITIES, Curve, Flag, Measured, NotMeasured, PullResult, Region, Verdict
from tui.compare_text import say_side_by_side
from tui.curve_text import ROWS, curve_lines
from tui.output import PLAIN_SIGNS, Progress
from tui.result_text import VERDICTS, say_curve, say_result
from tui.side_curve import BAR_COLUMNS, SideCurve, bar, row
from tui.text_width import wrapped

EVIL = "\x1b[2J\x1b]0;owned\x07 name [bold]"


def made_up(name: str = "a.pull.csv", verdict: str = "meets", outcome: str = "broke") -> PullResult:
    """A result with everything in it."""
    strain = np.linspace(0.0, 45.0, 300)
    curve = Curve(strain, np.minimum(strain * 0.1, 0.4), None, np.arange(300))
    measured = {quantity: Measured(12.345, 0.123) for quantity in QUANTITIES}
    return PullResult(
        recording=name,
        complete=True,
        simulated=True,
        outcome=outcome,
        elongation_reached_pct=45.0,
        **measured,  # type: ignore[arg-type]
        verdict=Verdict(verdict, 20.0, 0.5, "A statement about 41.3 % ± 1.2 %."),
        flags=(),
        curve=curve,
        regions=(Region("elastic", 0.0, 4.0), Region("yield", 4.0, 45.0)),
    )


@pytest.mark.parametrize("verdict", VERDICTS)
def test_a_verdict_is_a_sign_and_words(verdict: str, capsys: pytest.CaptureFixture[str]) -> None:
    say_result(made_up(verdict=verdict))
    out = capsys.readouterr().out
    sign, words, _ = VERDICTS[verdict]
    assert f"{sign} {words.format(guideline='20 %')}" in out
    assert "\x1b" not in out
    assert len({s for s, _, _ in VERDICTS.values()}) == len(VERDICTS), "each has a sign of its own"
    assert all(s in PLAIN_SIGNS for s, _, _ in VERDICTS.values())


def test_everything_measured_is_in_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    say_result(made_up())
    out = capsys.readouterr().out
    assert out.count("12.35") + out.count("12.34") == len(QUANTITIES)
    assert "95 times in 100" in out
    assert "Not measured" not in out


def test_what_was_not_measured_is_said_once_for_each_reason(capsys: pytest.CaptureFixture[str]) -> None:
    missing = {name: NotMeasured("no diameter was given") for name in QUANTITIES if name.endswith("mpa")}
    say_result(replace(made_up(), **missing))  # type: ignore[arg-type]
    out = capsys.readouterr().out
    assert out.count("no diameter was given") == 1
    assert "Not measured: stress at break, stress at yield" in out


def test_a_pull_that_cannot_be_judged_has_no_empty_table(capsys: pytest.CaptureFixture[str]) -> None:
    nothing = {name: NotMeasured("the channel was frozen") for name in QUANTITIES}
    bad = replace(
        made_up(verdict="no_verdict", outcome="bad_test"), curve=None, elongation_reached_pct=None, **nothing
    )  # type: ignore[arg-type]
    say_curve(bad)
    say_result(bad)
    out = capsys.readouterr().out
    assert "value" not in out
    assert "95 times" not in out
    assert "this pull cannot be judged; stretch reached unknown" in out


def test_marks_and_flags_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    flagged = replace(made_up(), complete=False, flags=(Flag("partial_break", "A part tore first."),))
    say_result(flagged)
    out = capsys.readouterr().out
    assert "a.pull.csv (simulated, incomplete)" in out
    assert "! partial break: A part tore first." in out


def test_foreign_text_in_a_result_does_not_steer_the_screen(capsys: pytest.CaptureFixture[str]) -> None:
    evil = replace(
        made_up(EVIL),
        flags=(Flag("note", EVIL),),
        verdict=Verdict("meets", 20.0, 1.0, EVIL),
        stress_at_break_mpa=NotMeasured(EVIL),
    )
    say_curve(evil)
    say_result(evil)
    say_side_by_side([evil, evil], [EVIL, "other"])
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "\x07" not in out


def test_the_curve_has_its_guideline_and_regions() -> None:
    lines = curve_lines(made_up())
    assert len(lines) == ROWS
    text = "\n".join(lines)
    for words in ("force (N)", "stretch (%)", "guideline 20 %", "elastic", "yield"):
        assert words in text
    assert max(map(len, lines)) <= 78


def test_a_result_without_a_curve_draws_none() -> None:
    assert curve_lines(replace(made_up(), curve=None)) == []


def test_results_side_by_side(capsys: pytest.CaptureFixture[str]) -> None:
    say_side_by_side([made_up(), replace(made_up(), curve=None)], ["first", "second"])
    out = capsys.readouterr().out
    heading = next(line for line in out.splitlines() if line.split() == ["first", "second"])
    values = next(line for line in out.splitlines() if line.startswith("  elongation at break"))
    assert len(heading) == len(values)
    assert values.count("±") == 2


def test_the_growing_curve_gives_one_line_a_step() -> None:
    curve = SideCurve(1.0)
    lines = [line for i in range(1001) for line in curve.lines(i / 100, 0.5)]
    assert len(lines) == 6, "0, 2, 4, 6, 8 and 10 %"
    assert curve.lines(10.5, 0.5) == []
    assert len(curve.lines(90.0, 0.5)) == 1, "after a gap one line, not forty"
    assert curve.lines(50.0, 0.5) == []


@pytest.mark.parametrize(
    ("force", "cells"), [(-1.0, 0.0), (0.0, 0.0), (0.5, BAR_COLUMNS / 2), (1.0, BAR_COLUMNS), (9.0, BAR_COLUMNS)]
)
def test_bars_never_leave_their_columns(force: float, cells: float) -> None:
    assert len(bar(force, 1.0)) == cells
    assert len(row(99.0, force, 1.0)) <= 80


def test_a_number_keeps_its_unit_on_its_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    text = "The strand stretched by 41.3 % ± 1.2 % at a force of 0.913 N and 12 MPa in 30.5 mm."
    for line in wrapped(text * 5).splitlines():
        assert not line.rstrip().endswith(tuple("0123456789±"))
        assert len(line) <= 40
    assert " ".join(wrapped(text).split()) == text


def test_progress_is_only_for_somebody_who_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    class Watched(io.StringIO):
        def isatty(self) -> bool:
            return True

    for stream, expected in ((Watched(), True), (io.StringIO(), False)):
        monkeypatch.setattr(sys, "stderr", stream)
        with Progress("analysing", 3) as progress:
            progress.step()
        shown = stream.getvalue()
        assert ("analysing 1 of 3" in shown) is expected
        assert shown.endswith("\x1b[K") is expected, "the line goes away"
