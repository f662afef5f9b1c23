"""What the strands of a check say together, and that one weak strand is never averaged away."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from analysis.results import PullResult
from tests.tui.check.samples import check, result
from tui.check.course import set_aside
from tui.check.judged import Judged, judge

SOUND = (44.0, 41.0, 47.0, 39.5, 45.5)


def judged(results: Sequence[PullResult | str], *, aside: bool = False) -> Judged:
    found = check(len(results), pulled=len(results))
    if aside:
        found = set_aside(found, "it slipped in a clamp")
    given = {pull.recording: one for pull, one in zip(found.pulls, results, strict=True)}
    return judge(found, "HK-204", given)


def test_sound_strands_reach_the_guideline_as_a_set_and_the_sentence_is_the_analysis_own() -> None:
    found = judged([result(value) for value in SOUND])
    assert found.outcome == "meets"
    assert found.summary is not None
    assert found.summary.statement in found.measured
    # Mean and Student's t for n = 5 (t = 2.776, published table): 43.4 +- 2.776 * 3.130 / sqrt(5)
    assert "39.5 % and 47.3 %" in found.sure[0]


def test_one_weak_strand_among_sound_ones_is_mixed_and_is_named() -> None:
    found = judged([*(result(value) for value in SOUND[:4]), result(12.0, "below")])
    assert found.outcome == "mixed"
    assert any("12 %" in sentence and "strand 5" in sentence for sentence in found.measured)


def test_weak_strands_are_below_and_strands_at_the_guideline_too_close_to_call() -> None:
    assert judged([result(value, "below") for value in (11.0, 12.5, 13.0, 10.5)]).outcome == "below"
    assert judged([result(value, "too_close") for value in (19.8, 20.3, 20.1, 19.9)]).outcome == "too_close"


@pytest.mark.parametrize("count", [1, 2])
def test_fewer_than_three_strands_give_no_verdict_on_the_set(count: int) -> None:
    found = judged([result(45.0)] * count)
    assert found.outcome == "unsettled"
    assert "too few" in " ".join(found.sure)


def test_strands_that_never_broke_count_as_at_least_so_far() -> None:
    found = judged([result(60.0, "meets", "no_break") for _ in range(3)])
    assert found.outcome == "meets"
    assert found.lines[0].figure == "at least 60 %"
    short = judged([result(2.0, "no_verdict", "slipped") for _ in range(3)])
    assert short.outcome == "unsettled"
    assert short.lines[0].suggests == "slipped"


def test_a_strand_that_was_set_aside_is_listed_with_its_reason_and_not_counted() -> None:
    found = judged([*(result(value) for value in SOUND[:4]), result(2.0, "no_verdict", "slipped")], aside=True)
    assert found.outcome == "meets"
    assert found.lines[-1].words == "left out: it slipped in a clamp"
    assert any("1 pull does not count" in sentence for sentence in found.sure)


def test_a_recording_that_is_gone_is_said_and_does_not_spoil_the_others() -> None:
    found = judged([*(result(value) for value in SOUND[:4]), "There is no /pulls/4.pull.csv.\x1b[2J"])
    assert found.outcome == "unsettled"
    assert found.summary is not None
    assert found.summary.n == 4
    assert "There is no" in found.lines[-1].words
    assert "\x1b" not in found.lines[-1].words


def test_nothing_pulled_that_counts_is_a_sentence() -> None:
    found = judged(["gone"])
    assert found.outcome == "unsettled"
    assert found.measured == ("No strand that counts has been pulled yet.",)
