"""A series by its plan: which strand is next and why, rejecting and taking back, what a killed program left."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.lab.plan import (
    MOST_STRANDS,
    Group,
    Next,
    NotNow,
    Plan,
    Stray,
    last_pull,
    next_strand,
    one_more,
    reject,
    strand_name,
    undo,
    with_pull,
    with_strays,
)

BEGUN = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
PLAN = Plan(
    name="Trial (invented)",
    begun=BEGUN,
    groups=(Group("untreated", "dry"), Group("lightened", "dry")),
    zones=("crown", "nape"),
    strands=3,
    gauge_length_mm=30.0,
)


def pulled(plan: Plan, count: int = 1) -> Plan:
    for _ in range(count):
        strand = next_strand(plan)
        assert strand is not None
        plan = with_pull(plan, strand, f"/r/{len(plan.pulls)}.pull.csv", BEGUN)
    return plan


def upcoming(plan: Plan) -> Next:
    strand = next_strand(plan)
    assert strand is not None
    return strand


def test_groups_and_zones_go_in_turn_until_all_are_pulled() -> None:
    plan = pulled(PLAN, 6)
    assert [(p.group, p.number, p.zone) for p in plan.pulls] == [
        (0, 1, "crown"),
        (1, 1, "crown"),
        (0, 2, "nape"),
        (1, 2, "nape"),
        (0, 3, "crown"),
        (1, 3, "crown"),
    ]
    assert next_strand(plan) is None


def test_the_reason_names_what_decided() -> None:
    assert "all have as many" in upcoming(PLAN).why
    assert "no strand from crown yet" in upcoming(PLAN).why
    assert "this group has 0 strands, another 1" in upcoming(pulled(PLAN)).why
    one_group = Plan("x", BEGUN, PLAN.groups[:1], ("crown",), 3, 30.0)
    assert upcoming(pulled(one_group)).why == "2 to go"


def test_a_rejected_pull_stays_and_its_strand_is_repeated_from_its_zone() -> None:
    plan = reject(pulled(PLAN, 3), "it slipped in a clamp")
    assert len(plan.pulls) == 3
    assert plan.pulls[2].aside == "it slipped in a clamp"
    assert (upcoming(plan).group, upcoming(plan).number) == (0, 2) or upcoming(plan).group == 1
    plan = pulled(plan)  # the other group has its turn where it is behind
    repeated = plan.pulls[-1] if plan.pulls[-1].group == 0 else pulled(plan).pulls[-1]
    assert (repeated.group, repeated.number, repeated.zone) == (0, 2, "nape")


def test_the_reason_of_a_repetition_is_that_of_the_rejection() -> None:
    plan = reject(pulled(PLAN), "it was mounted crooked")
    assert "it was mounted crooked" in upcoming(plan).why
    assert upcoming(plan).zone == "crown"


def test_only_the_last_pull_is_rejected_and_only_once() -> None:
    with pytest.raises(NotNow, match="no last pull"):
        reject(PLAN, "x")
    with pytest.raises(NotNow):
        reject(reject(pulled(PLAN), "x"), "again")


def test_undo_goes_back_step_by_step_and_takes_nothing_out() -> None:
    start = pulled(PLAN, 2)
    plan = undo(reject(start, "x"))
    assert plan.pulls == start.pulls
    assert last_pull(plan) == start.pulls[-1]
    plan = undo(plan)
    assert [bool(pull.aside) for pull in plan.pulls] == [False, True]
    plan = undo(plan)
    assert len(plan.pulls) == 2
    with pytest.raises(NotNow, match="nothing to take back"):
        undo(plan)


@given(st.lists(st.sampled_from(["pull", "reject", "undo", "more"]), max_size=60))
def test_no_order_of_steps_loses_a_pull_or_gives_a_strand_twice(steps: list[str]) -> None:
    plan, made = PLAN, 0
    for step in steps:
        if step == "pull" and next_strand(plan) is not None:
            plan, made = pulled(plan), made + 1
        elif step == "reject" and last_pull(plan) is not None:
            plan = reject(plan, "spoilt")
        elif step == "undo" and plan.steps:
            plan = undo(plan)
        elif step == "more":
            plan = one_more(plan)
        assert len(plan.pulls) == made
        strands = Counter((pull.group, pull.number) for pull in plan.pulls if not pull.aside)
        assert all(count == 1 for count in strands.values())


def test_more_strands_can_be_planned_up_to_a_limit() -> None:
    plan = one_more(pulled(PLAN, 6))
    assert upcoming(plan).number == 4
    with pytest.raises(NotNow, match=str(MOST_STRANDS)):
        one_more(Plan("x", BEGUN, PLAN.groups, ("crown",), MOST_STRANDS, 30.0))


def test_what_was_recorded_before_the_program_died_is_taken_in_once() -> None:
    plan = pulled(PLAN, 2)
    third = upcoming(plan)
    stray = Stray("/elsewhere/9.pull.csv", strand_name(third), third.zone, BEGUN + timedelta(minutes=9))
    known = Stray("/moved/0.pull.csv", "1.1", "crown", BEGUN)
    nonsense = [Stray(f"/r/n{i}", text, "", BEGUN) for i, text in enumerate(("", "9.1", "0.1", "1.x", "²..1"))]
    taken = with_strays(plan, (stray, known, *nonsense))
    assert [pull.recording for pull in taken.pulls[2:]] == ["/elsewhere/9.pull.csv"]
    assert (taken.pulls[2].group, taken.pulls[2].number) == (third.group, third.number)
    assert with_strays(taken, (stray,)) == taken
    assert upcoming(taken) != third
