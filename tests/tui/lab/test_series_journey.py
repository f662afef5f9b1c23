"""A series in the app, by keys alone, on a simulated rig; killed in the middle, and gone on with."""

from __future__ import annotations

from pathlib import Path

import pytest

from recordings.reader import read_recording
from tests.tui.driver import Driver, running, settings
from tui.check.times import now
from tui.lab.plan import Air, Group, Plan, next_strand
from tui.lab.progress import Results, standing
from tui.lab.shelf import all_plans, keep
from tui.widgets.menu import Menu
from tui.widgets.row_list import RowList

#: What is typed for each question; None takes what is offered.
ANSWERS = ("Trial A", "untreated, lightened", None, "crown, nape", "2", "30", None, "24", "23.5", "64", "K7")


def plan_kept() -> Plan:
    (plan,) = all_plans().plans
    return plan


def a_series(strands: int = 2) -> Plan:
    plan = Plan("Trial", now(), (Group("untreated", "dry"),), ("crown",), strands, 30.0, air=Air(20.0, 65.0))
    keep(plan)
    return plan


def shown(person: Driver) -> str:
    lists = person.app.screen.query(RowList)
    rows = [row for one in lists for y in range(one.size.height) if (row := one.row(y))]
    return "\n".join("".join(span.text for span in row) for row in rows)


def text(person: Driver, name: str) -> str:
    return str(person.app.screen.query_one(name).render())


async def set_up(person: Driver) -> None:
    await person.choose("series")
    await person.until_screen("SeriesListScreen")
    await person.choose("series_setup")
    for number, answer in enumerate(ANSWERS, 1):
        await person.until_screen("SeriesSetupScreen")
        await person.until(lambda n=number: f"Question {n} of" in text(person, ".remark"))  # type: ignore[misc]
        await person.until(lambda: bool(person.app.screen.query("Input, Choice")))
        if answer is not None:
            await person.fill("answer", answer)
        await person.press("enter")
    await person.until_screen("SeriesScreen")


async def go_on(person: Driver) -> None:
    """From the first screen to the newest series."""
    await person.choose("series")
    await person.until_screen("SeriesListScreen")
    await person.until(lambda: len(person.app.screen.query_one(Menu)._entries) > 2)
    await person.choose("0")
    await person.until_screen("SeriesScreen")


async def to_pull(person: Driver) -> None:
    """From the series over moving back to the pull."""
    await person.press("enter")
    await person.until(lambda: person.screen in ("SeriesStrandScreen", "SeriesBackScreen"))
    await person.until_screen(person.screen)
    if person.screen == "SeriesBackScreen":
        await person.press("enter")
        await person.until_screen("SeriesStrandScreen")
    await person.press("enter")
    await person.until_screen("SeriesPullScreen")


async def pull(person: Driver) -> None:
    await to_pull(person)
    await person.press("enter")
    await person.until_screen("SeriesScreen")
    await person.until(lambda: "Last pull" in person.notice)


async def with_rig(person: Driver) -> None:
    """A simulated rig and confirmed cautions, then the first question again."""
    await person.to_strand()
    person.app.go("start")
    await person.until_screen("StartScreen")


async def test_a_series_from_its_questions_to_its_last_strand(tmp_path: Path) -> None:
    async with running(tmp_path, settings(), size=(80, 24)) as person:
        await with_rig(person)
        await set_up(person)
        assert "strand 1 of 2, untreated, dry, from the crown" in text(person, "#question")
        assert "Because" in text(person, "#why")
        assert "23.5 °C" in text(person, "#air")
        await pull(person)
        assert "strand 1 of 2, lightened, dry, from the crown" in text(person, "#question")
        await pull(person)
        await pull(person)
        assert "3 of" not in shown(person)
        assert "2 of 2" in shown(person)
        await person.press("r")
        await person.until_screen("SeriesRejectScreen")
        await person.choose("it was mounted crooked")
        await person.until_screen("SeriesScreen")
        await person.until(lambda: "Last pull" in person.notice)
        assert "1 rejected" in shown(person)
        await person.press("u")
        await person.until(lambda: "taken back" in person.notice)
        assert all(not one.aside for one in plan_kept().pulls)
        await pull(person)
        assert "Is it enough?" in text(person, "#question")
        await person.press("m")
        await person.until(lambda: "strand 3 of 3" in text(person, "#question"))
        await pull(person)
        await person.until(lambda: " % (" in shown(person))
        await person.press("o")
        await person.until_screen("ResultScreen")

    plan = plan_kept()
    assert len(plan.pulls) == 5
    for one in plan.pulls:
        header = read_recording(Path(one.recording)).header
        group = plan.groups[one.group]
        said = (header.specimen.history, header.specimen.condition, header.specimen.zone, header.specimen.series)
        assert said == (group.history, group.condition, one.zone, plan.series)
        method = header.method
        assert (method.temperature_c, method.humidity_pct, method.operator) == (23.5, 64.0, "K7")
        assert method.speed_mm_min == 24.0


async def test_a_program_that_died_in_a_pull_leaves_plan_and_recording(tmp_path: Path) -> None:
    a_series()
    async with running(tmp_path, settings(time_scale=4.0)) as person:
        await with_rig(person)
        await go_on(person)
        await to_pull(person)
        await person.press("enter")
        await person.until(lambda: person.moving)
    assert plan_kept().pulls == ()
    (recording,) = tmp_path.glob("*.pull.csv")

    async with running(tmp_path) as person:
        await go_on(person)
        await person.until(lambda: "is taken in" in person.notice)
        await person.until(lambda: "Last pull" in person.notice)
        (found,) = plan_kept().pulls
        assert Path(found.recording) == recording
        assert "strand 2 of 2" in text(person, "#question")
        await person.press("r")
        await person.until_screen("SeriesRejectScreen")
        await person.choose("own")
        await person.until_screen("SeriesReasonScreen")
        await person.press("enter")
        assert "Type a reason" in text(person, ".field-hint")
        await person.fill("reason", "the light went out")
        await person.press("enter")
        await person.until_screen("SeriesScreen")
        assert plan_kept().pulls[0].aside == "the light went out"
        assert "the light went out" in text(person, "#why")


async def test_readings_of_the_air_are_checked_kept_and_flagged(tmp_path: Path) -> None:
    a_series()
    async with running(tmp_path) as person:
        await go_on(person)
        assert "within the standard atmosphere" in text(person, "#air")
        await person.press("c")
        await person.until_screen("SeriesAirScreen")
        for nonsense in ("warm", "1e9", "-300"):
            await person.fill("temperature_c", nonsense)
            await person.press("enter")
            assert person.screen == "SeriesAirScreen"
            assert "a number" in text(person, "#temperature_c .field-hint")
        await person.fill("temperature_c", "25,5")
        await person.press("enter")
        await person.until_screen("SeriesScreen")
        assert "Outside" in text(person, "#air")
        assert plan_kept().air == Air(25.5, 65.0)


async def test_nonsense_in_the_questions_stays_on_the_question(tmp_path: Path) -> None:
    async with running(tmp_path) as person:
        await person.choose("series")
        await person.until_screen("SeriesListScreen")
        await person.choose("series_setup")
        await person.until_screen("SeriesSetupScreen")
        await person.press("enter")
        assert "Give the series a name" in text(person, ".field-hint")
        await person.fill("answer", "x")
        await person.press("enter")
        await person.until(lambda: "Question 2" in text(person, ".remark"))
        await person.press("f2")
        await person.until(lambda: "Question 1" in text(person, ".remark"))
        assert all_plans().plans == ()


async def test_a_series_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "trial.toml"
    path.write_text('name = "T"\ngroups = ["a"]\nkind = "twist"\n', encoding="utf-8")
    async with running(tmp_path) as person:
        await person.choose("series")
        await person.until_screen("SeriesListScreen")
        await person.choose("series_file")
        await person.until_screen("SeriesFileScreen")
        await person.press("enter")
        assert "Type the name" in text(person, ".field-hint")
        for name, said in ((tmp_path / "no.toml", "There is no"), (path, "kind is “twist”")):
            await person.fill("file", str(name))
            await person.press("enter")
            await person.until(lambda s=said: s in person.notice and person.complained)  # type: ignore[misc]
        path.write_text('name = "T"\ngroups = ["a"]\n', encoding="utf-8")
        await person.press("enter")
        await person.until_screen("SeriesScreen")
        assert plan_kept().groups == (Group("a", "dry"),)


async def test_a_series_that_cannot_be_kept_is_said_and_goes_on(tmp_path: Path, own_home: Path) -> None:
    a_series()
    async with running(tmp_path) as person:
        await go_on(person)
        for one in own_home.iterdir():
            one.unlink()
        own_home.rmdir()
        own_home.write_text("in the way", encoding="utf-8")
        await person.press("m")
        await person.until(lambda: "cannot be written" in person.notice and person.complained)
        assert "strand 1 of 3" in text(person, "#question")
        own_home.unlink()
        await person.press("m")
        await person.until(lambda: "strand 1 of 4" in text(person, "#question"))
    assert plan_kept().strands == 4


async def test_a_damaged_series_is_set_aside_with_a_sentence_and_the_others_are_there(
    tmp_path: Path, own_home: Path
) -> None:
    a_series()
    (own_home / "series-20260101-000000-000000.json").write_text("{", encoding="utf-8")
    async with running(tmp_path) as person:
        await person.until(lambda: "set aside" in person.notice)
        await go_on(person)
    assert len(list(own_home.glob("series-20260101-000000-000000.damaged-*"))) == 1


@pytest.mark.parametrize("missing", [True, False])
def test_a_recording_without_a_result_is_a_sentence(tmp_path: Path, missing: bool) -> None:
    from tui.lab.plan import with_pull

    plan = a_series()
    strand = next_strand(plan)
    assert strand is not None
    path = tmp_path / "x.pull.csv"
    if not missing:
        path.write_bytes(b"junk")
    found = standing(with_pull(plan, strand, str(path), now()), Results())
    assert "press R" in found.last or "Press R" in found.last
    assert found.lines[0].now is None
