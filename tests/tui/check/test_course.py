"""The way from strand to strand: what is next, what is repeated, what is taken back, and that nothing vanishes."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tui.check.samples import ZONES, at, check
from tui.check.course import MOST, Check, NotNow, finish, one_more, set_aside, spread, undo, with_pull


@given(st.integers(1, 5), st.integers(1, MOST))
def test_strands_are_spread_evenly_over_the_zones(zones: int, strands: int) -> None:
    names = [f"zone {number}" for number in range(zones)]
    counts = Counter(spread(names, strands))
    assert sum(counts.values()) == strands
    per_zone = [counts[name] for name in names]
    assert max(per_zone) - min(per_zone) <= 1


def test_strands_come_one_after_the_other_from_their_zones() -> None:
    found = check(4)
    for number in range(1, 5):
        assert found.next_strand == number
        found = with_pull(found, f"{number}", at(minutes=number))
        assert found.pulls[-1].zone == ZONES[(number - 1) % 3]
    assert found.next_strand is None
    with pytest.raises(NotNow, match="add a strand"):
        with_pull(found, "too many", at())


def test_a_spoilt_strand_is_repeated_from_its_zone_and_stays_in_the_list() -> None:
    found = set_aside(check(3, pulled=2), "it slipped in a clamp")
    assert found.next_strand == 2
    again = with_pull(found, "again", at(minutes=9))
    assert [(pull.strand, pull.aside) for pull in again.pulls] == [(1, ""), (2, "it slipped in a clamp"), (2, "")]
    assert again.pulls[-1].zone == again.pulls[1].zone
    assert [pull.recording for pull in again.counting] == ["/pulls/0.pull.csv", "again"]


def test_only_the_last_pull_can_be_set_aside_and_only_once() -> None:
    found = set_aside(check(3, pulled=2), "other")
    with pytest.raises(NotNow):
        set_aside(found, "other")
    with pytest.raises(NotNow):
        set_aside(check(3), "other")


def test_undo_takes_back_the_setting_aside_and_then_the_pull() -> None:
    once = undo(set_aside(check(3, pulled=2), "other"))
    assert [pull.strand for pull in once.counting] == [1, 2]
    twice = undo(once)
    assert [pull.strand for pull in twice.counting] == [1]
    assert twice.pulls[1].aside == "taken back"
    thrice = undo(twice)
    assert thrice.next_strand == 1
    with pytest.raises(NotNow):
        undo(thrice)


def test_an_ended_check_goes_on_with_one_more_strand_from_the_zone_whose_turn_it_is() -> None:
    ended = finish(check(3, pulled=3), at(minutes=9))
    with pytest.raises(NotNow):
        with_pull(ended, "x", at())
    more = one_more(ended)
    assert more.ended is None
    assert more.next_strand == 4
    assert more.planned[3] == ZONES[0]


def test_a_check_without_a_strand_cannot_end_and_has_a_most() -> None:
    with pytest.raises(NotNow):
        finish(check(3), at())
    with pytest.raises(NotNow, match=str(MOST)):
        one_more(check(MOST))


@settings(max_examples=200)
@given(st.lists(st.sampled_from(["pull", "aside", "undo", "more", "finish"]), max_size=40))
def test_whatever_is_done_no_recording_vanishes_and_no_strand_counts_twice(moves: list[str]) -> None:
    found: Check = check(3)
    made: list[str] = []
    for number, move in enumerate(moves):
        try:
            match move:
                case "pull":
                    found = with_pull(found, f"{number}", at(minutes=number))
                    made.append(f"{number}")
                case "aside":
                    found = set_aside(found, "other")
                case "undo":
                    found = undo(found)
                case "more":
                    found = one_more(found)
                case "finish":
                    found = finish(found, at())
        except NotNow:
            continue
    assert [pull.recording for pull in found.pulls] == made
    strands = [pull.strand for pull in found.counting]
    assert len(strands) == len(set(strands))
    assert all(found.planned[pull.strand - 1] == pull.zone for pull in found.pulls)
