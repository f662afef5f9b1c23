"""One playhead for several curves: in step, paused, stepped, at any speed, to the breaks; and what is played."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recordings.format import Specimen
from tui.analysing import analyse_file
from tui.classroom.playback import SPEEDS, Playback
from tui.classroom.series import LONGEST_NAME, NothingToPlay, Series, load_reel, names_of

DEMO = Path(str(resources.files("recordings.demo")))
VIRGIN = sorted(DEMO.glob("head-A_virgin_[cn]*.pull.csv"))
LIGHTENED = sorted(DEMO.glob("head-A_lightened*.pull.csv"))
BROKEN_EARLY = sorted(DEMO.glob("head-B*.pull.csv"))


def series(ends_pct: float, name: str = "a") -> Series:
    xs = tuple(ends_pct * i / 100 for i in range(101))
    return Series(name, xs, tuple(x / 100 for x in xs), end_word="broke", broke=True, reached=xs)


def test_it_plays_as_fast_as_the_strand_was_pulled_times_the_speed() -> None:
    playback = Playback([series(50.0)], rate_pct_s=2.0)
    playback.speed = 1.0
    playback.play_or_pause()
    for _ in range(10):
        playback.passed(0.5)
    assert playback.at_pct == pytest.approx(10.0)
    playback.faster(2)
    assert playback.speed == 4.0
    playback.passed(1.0)
    assert playback.at_pct == pytest.approx(18.0)


def test_it_stands_while_paused_and_at_the_end() -> None:
    playback = Playback([series(50.0)], 1.0)
    playback.passed(100.0)
    assert playback.at_pct == 0.0
    playback.play_or_pause()
    playback.passed(1.0)
    playback.play_or_pause()
    here = playback.at_pct
    playback.passed(100.0)
    assert playback.at_pct == here > 0
    playback.play_or_pause()
    playback.passed(1000.0)
    assert (playback.at_pct, playback.playing, playback.at_end) == (50.0, False, True)
    playback.play_or_pause()
    assert (playback.at_pct, playback.playing) == (0.0, True), "from the end it begins anew"


def test_to_each_break_in_turn_and_round_again() -> None:
    playback = Playback([series(45.0), series(13.0, "b"), series(30.0, "c")], 1.0)
    found = []
    for _ in range(5):
        playback.to_break()
        found.append(playback.at_pct)
    assert found == [13.0, 30.0, 45.0, 13.0, 30.0]


def test_a_curve_that_has_ended_stays_as_it_ended() -> None:
    healthy, damaged = series(45.0), series(13.0, "b")
    playback = Playback([healthy, damaged], 1.0)
    playback.step(30.0)
    assert damaged.count_to(playback.at_pct) == 101
    assert damaged.value_at(playback.at_pct) == pytest.approx(0.13)
    assert healthy.value_at(playback.at_pct) == pytest.approx(0.30, abs=0.005)


def test_other_curves_keep_the_place_where_they_reach_it() -> None:
    playback = Playback([series(45.0)], 1.0)
    playback.step(30.0)
    playback.show([series(60.0)])
    assert playback.at_pct == 30.0
    playback.show([series(13.0)])
    assert playback.at_pct == 13.0
    playback.show([])
    assert (playback.at_pct, playback.at_end) == (0.0, True)
    playback.play_or_pause()
    assert not playback.playing, "there is nothing to play"
    playback.to_break()


@given(
    ends=st.lists(st.floats(0.1, 500.0), min_size=1, max_size=5),
    moves=st.lists(
        st.one_of(
            st.tuples(st.just("step"), st.floats(-1e6, 1e6)),
            st.tuples(st.just("passed"), st.floats(0.0, 1e6)),
            st.tuples(st.just("faster"), st.integers(-9, 9)),
            st.tuples(st.sampled_from(["play_or_pause", "to_break", "to_start", "to_end"]), st.none()),
        ),
        max_size=30,
    ),
)
def test_whatever_is_pressed_the_playhead_stays_on_the_curves(
    ends: list[float], moves: list[tuple[str, float | None]]
) -> None:
    playback = Playback([series(end) for end in ends], 1.0)
    for move, by in moves:
        getattr(playback, move)(*(() if by is None else (by,)))
        assert 0.0 <= playback.at_pct <= max(ends) * (1 + 1e-12)
        assert playback.speed in SPEEDS
        assert not (playback.playing and playback.at_end)


def test_what_is_played_is_what_the_analysis_found() -> None:
    reel = load_reel([VIRGIN[0], BROKEN_EARLY[0]])
    for path, one in zip([VIRGIN[0], BROKEN_EARLY[0]], reel.strands, strict=True):
        result = analyse_file(path)
        assert result.curve is not None
        assert one.x == tuple(result.curve.strain_pct.tolist())
        assert one.y == tuple(result.curve.force_n.tolist())
        assert one.regions == result.regions
        assert one.ends_pct == result.elongation_at_break_pct.value  # type: ignore[union-attr]
        assert one.count_to(one.ends_pct) == len(one.x)
        assert list(one.reached) == sorted(one.reached)
        assert one.broke
    assert reel.simulated
    assert reel.guideline_pct == 20.0
    # The demonstration recordings were pulled with 36 mm/min on 30 mm: 2 % a second.
    assert reel.rate_pct_s == pytest.approx(2.0)
    assert reel.groups == (), "two strands have no spread"
    stress = reel.strands_mpa[0]
    area_mm2 = stress.y[-1] and reel.strands[0].y[-1] / stress.y[-1]
    assert all(n == pytest.approx(mpa * area_mm2) for n, mpa in zip(reel.strands[0].y, stress.y, strict=True))


def test_groups_have_a_median_between_their_quartiles() -> None:
    reel = load_reel([*VIRGIN, *LIGHTENED])
    assert [one.name for one in reel.groups] == ["virgin (3)", "lightened (3)"]
    for group in reel.groups:
        assert len(group.x) == len(group.y) == len(group.low) == len(group.high)
        assert all(low <= y <= high for low, y, high in zip(group.low, group.y, group.high, strict=True))
        assert group.end_word == "half are broken"


def test_a_recording_that_cannot_be_played_is_said_and_the_others_go_on(tmp_path: Path) -> None:
    bad = tmp_path / "bad\x1b[2J.pull.csv"
    bad.write_text("nonsense")
    reel = load_reel([bad, VIRGIN[0], tmp_path / "none.pull.csv"])
    assert len(reel.strands) == 1
    assert len(reel.problems) == 2
    assert all("\x1b" not in problem for problem in reel.problems)
    with pytest.raises(NothingToPlay, match="none.pull.csv"):
        load_reel([bad, tmp_path / "none.pull.csv"])
    with pytest.raises(NothingToPlay, match="No recording was chosen"):
        load_reel([])


def specimen(**said: str) -> Specimen:
    return Specimen(30.0, **said)  # type: ignore[arg-type]


NAMES = {
    "by history": ([specimen(history="virgin"), specimen(history="lightened")], ["virgin", "lightened"]),
    "by zone too": (
        [specimen(history="virgin", zone="crown"), specimen(history="virgin", zone="nape")],
        ["virgin crown", "virgin nape"],
    ),
    "numbered": ([specimen(history="virgin"), specimen(history="virgin")], ["virgin 1", "virgin 2"]),
    "nothing said": ([specimen(), None], ["file0", "file1"]),
    "one": ([specimen(history="virgin", zone="crown")], ["virgin"]),
    "foreign": ([specimen(history="\x1b[31mred\x1b[0m"), specimen(history="x" * 90)], ["red", "x" * 19 + "…"]),
}


@pytest.mark.parametrize(("specimens", "expected"), NAMES.values(), ids=NAMES.keys())
def test_names_tell_curves_apart(specimens: list[Specimen | None], expected: list[str]) -> None:
    found = names_of([(Path(f"file{number}.pull.csv"), one) for number, one in enumerate(specimens)])
    assert found == expected
    assert all(len(name) <= LONGEST_NAME for name in found)
