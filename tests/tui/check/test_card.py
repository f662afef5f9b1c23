"""The card's tests over time, with a clock that the test moves: what runs, what may be read, what has expired.

The times (30 minutes in the solution, 24 to 48 hours on the skin) are common practice, no source. How long a result
holds where practice names no time is the program's own choice.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from tests.tui.check.samples import START, at, card
from tui.check.card import Again, Card, record, start
from tui.check.course import NotNow
from tui.check.rules import RULES, Kind, Stage, Weight, stage_of
from tui.check.standing import standing

SECOND = timedelta(seconds=1)
TIMED = {Kind.INCOMPATIBILITY: (timedelta(minutes=30), timedelta(minutes=60)),
         Kind.SKIN: (timedelta(hours=24), timedelta(hours=48))}  # fmt: skip


def stage(one: Card, kind: Kind, moment: datetime) -> Stage:
    return stage_of(one.round_of(kind), moment)


def begun(kind: Kind) -> Card:
    return start(card(), kind, START, "B7", "Colour 7/1")


@pytest.mark.parametrize("kind", TIMED)
def test_a_timed_test_runs_is_readable_and_expires_to_the_second(kind: Kind) -> None:
    wait, window = TIMED[kind]
    one = begun(kind)
    assert stage(card(), kind, START) is Stage.OPEN
    assert stage(one, kind, START) is Stage.RUNNING
    assert stage(one, kind, START + wait - SECOND) is Stage.RUNNING
    assert stage(one, kind, START + wait) is Stage.READABLE
    assert stage(one, kind, START + window - SECOND) is Stage.READABLE
    assert stage(one, kind, START + window) is Stage.EXPIRED


@pytest.mark.parametrize("kind", TIMED)
def test_a_negative_result_counts_only_in_its_window(kind: Kind) -> None:
    wait, window = TIMED[kind]
    one = begun(kind)
    with pytest.raises(NotNow, match="can be recorded from"):
        record(one, kind, "none", START + wait - SECOND, "B7")
    with pytest.raises(NotNow, match="no longer counts"):
        record(one, kind, "none", START + window, "B7")
    read = record(one, kind, "none", START + wait, "C3")
    assert stage(read, kind, START + wait) is Stage.FINE
    assert standing(read, START + wait).tests[list(Kind).index(kind)].by == "C3"


@pytest.mark.parametrize("kind", TIMED)
@pytest.mark.parametrize("late", [timedelta(0), timedelta(minutes=5), timedelta(days=40)])
def test_a_positive_result_counts_at_any_time_and_never_expires(kind: Kind, late: timedelta) -> None:
    positive = next(key for key, weight in RULES[kind].outcomes.items() if weight is Weight.STOP)
    one = record(begun(kind), kind, positive, START + late, "B7")
    for days in (0, 1, 400):
        stands = standing(one, START + late + timedelta(days=days))
        assert stands.stopped
        assert stands.headline == "Do not proceed"
        assert "positive" in stands.points[0]


def test_a_positive_incompatibility_test_forbids_oxidation_products_and_a_positive_skin_test_refers() -> None:
    heat = standing(record(begun(Kind.INCOMPATIBILITY), Kind.INCOMPATIBILITY, "heat", START, "B7"), START)
    assert "no oxidation product" in heat.points[0]
    itching = standing(record(begun(Kind.SKIN), Kind.SKIN, "itching", START, "B7"), START)
    assert "do not proceed" in itching.points[0]
    assert "refer" in itching.points[0]


def test_a_skin_test_that_was_read_holds_until_48_hours_after_it_was_put_on() -> None:
    one = record(begun(Kind.SKIN), Kind.SKIN, "none", at(hours=30), "B7")
    assert stage(one, Kind.SKIN, at(hours=48) - SECOND) is Stage.FINE
    assert stage(one, Kind.SKIN, at(hours=48)) is Stage.EXPIRED


def test_a_late_reaction_overrules_a_negative_result_which_stays_on_the_card() -> None:
    one = record(begun(Kind.SKIN), Kind.SKIN, "none", at(hours=25), "B7")
    one = record(one, Kind.SKIN, "swelling", at(hours=40), "C3")
    stands = standing(one, at(hours=40))
    assert stands.stopped
    skin = stands.tests[-1]
    assert "negative" in skin.earlier[0]


def test_a_positive_result_stays_a_warning_when_the_test_is_begun_anew() -> None:
    one = record(begun(Kind.SKIN), Kind.SKIN, "redness", at(hours=2), "B7")
    one = start(one, Kind.SKIN, at(hours=3), "B7", "Colour 8/0")
    stands = standing(one, at(hours=3))
    assert not stands.stopped
    assert any("earlier result was positive" in point for point in stands.points)


def test_a_test_of_the_hair_expires_after_a_week() -> None:
    one = record(card(), Kind.POROSITY, "good", START, "B7")
    assert stage(one, Kind.POROSITY, at(days=7) - SECOND) is Stage.FINE
    assert stage(one, Kind.POROSITY, at(days=7)) is Stage.EXPIRED


def test_time_zones_and_summer_time_change_nothing() -> None:
    one = begun(Kind.SKIN)
    moment = START + timedelta(hours=24)
    for zone in (UTC, timezone(timedelta(hours=-11)), timezone(timedelta(hours=13, minutes=45))):
        assert stage(one, Kind.SKIN, moment.astimezone(zone)) is Stage.READABLE
        assert stage(one, Kind.SKIN, (moment - SECOND).astimezone(zone)) is Stage.RUNNING
    # 29 March 2026, clocks go forward in the zone of the start: 24 hours are 24 hours, not the same hour next day.
    winter, summer = timezone(timedelta(hours=1)), timezone(timedelta(hours=2))
    put_on = datetime(2026, 3, 28, 12, 0, tzinfo=winter)
    spring = start(card(), Kind.SKIN, put_on, "B7")
    assert stage(spring, Kind.SKIN, datetime(2026, 3, 29, 12, 30, tzinfo=summer)) is Stage.RUNNING
    assert stage(spring, Kind.SKIN, datetime(2026, 3, 29, 13, 0, tzinfo=summer)) is Stage.READABLE


@pytest.mark.parametrize("kind", TIMED)
def test_a_clock_that_was_set_back_is_said_and_nothing_can_be_read_by_it(kind: Kind) -> None:
    one = begun(kind)
    back = START - timedelta(hours=3)
    assert stage(one, kind, back) is Stage.CLOCK
    with pytest.raises(NotNow, match="clock"):
        record(one, kind, "none", back, "B7")
    assert any("clock" in point for point in standing(one, back).points)
    fresh = start(one, kind, back, "B7", again=Again.YES)
    assert stage(fresh, kind, back) is Stage.RUNNING
    assert any("clock" in point for point in standing(fresh, back).points), "the card still has the later time"


def test_a_clock_put_right_by_seconds_is_no_trouble() -> None:
    assert stage(begun(Kind.SKIN), Kind.SKIN, START - timedelta(seconds=20)) is Stage.RUNNING


def test_a_running_test_is_not_begun_anew_by_mistake() -> None:
    one = begun(Kind.SKIN)
    with pytest.raises(NotNow, match="running already"):
        start(one, Kind.SKIN, at(hours=1), "B7")
    again = start(one, Kind.SKIN, at(hours=1), "B7", again=Again.YES)
    assert stage(again, Kind.SKIN, at(hours=24)) is Stage.RUNNING
    assert len(again.rounds) == 2


def test_what_cannot_be_done_is_a_sentence() -> None:
    with pytest.raises(NotNow, match="no timer"):
        start(card(), Kind.POROSITY, START, "B7")
    with pytest.raises(NotNow, match="Start the test first"):
        record(card(), Kind.SKIN, "redness", START, "B7")
    with pytest.raises(NotNow, match="good, porous"):
        record(card(), Kind.POROSITY, "soft", START, "B7")


def test_with_nothing_open_the_card_says_just_that_and_defers() -> None:
    one = record(card(), Kind.POROSITY, "good", at(hours=24), "B7")
    one = record(one, Kind.ELASTICITY, "good-by-hand", at(hours=24), "B7")
    one = start(start(one, Kind.SKIN, START, "B7"), Kind.INCOMPATIBILITY, at(hours=23, minutes=20), "B7")
    one = record(one, Kind.SKIN, "none", at(hours=24), "B7")
    one = record(one, Kind.INCOMPATIBILITY, "none", at(hours=24), "B7")
    stands = standing(one, at(hours=24, minutes=1))
    assert stands.points == ()
    assert stands.headline == "No point is open on this card"


def test_every_outcome_and_stage_has_words() -> None:
    from tui import wording_card as words

    for kind, rule in RULES.items():
        assert set(words.OUTCOMES[kind.value]) == set(rule.outcomes)
        for outcome, weight in rule.outcomes.items():
            assert weight is not Weight.HEED or outcome in words.POINT_HEED
    assert set(words.STATES) == set(words.STATE_SIGNS) == set(words.STATE_ROLES) == {one.value for one in Stage}


def test_an_outcome_of_a_newer_program_is_taken_for_one_to_heed() -> None:
    one = record(card(), Kind.POROSITY, "good", START, "B7")
    finding = one.rounds[0].finding
    assert finding is not None
    strange = replace(one, rounds=(replace(one.rounds[0], finding=replace(finding, outcome="[bold]new")),))
    assert standing(strange, START).tests[0].stage is Stage.HEED
