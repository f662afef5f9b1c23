"""The parts of the app's frame as values: what they say, how they look in every palette, and what is typed in."""

from __future__ import annotations

import itertools
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recordings.format import ForceCalibration
from rig.inbox import LinkHealth
from rig.samples import SampleBatch
from rig.scale import Scale
from rig.snapshot import Phase, Snapshot
from tui import wording, wording_help
from tui.app import SCREENS
from tui.feed import Feed
from tui.looks import LOOKS, style_of
from tui.opening import opening
from tui.palettes import BARE, CHALK, LINEN, PALETTES, PEAT, Palette, first_palette
from tui.result_text import VERDICTS
from tui.strand_form import (
    StrandForm,
    diameter_problem,
    gauge_length_problem,
    number,
    specimen_of,
    text_problem,
)
from tui.widgets.choice import choice_spans
from tui.widgets.digits import bitmap, figures
from tui.widgets.key_line import key_spans
from tui.widgets.link_status import RigState, status_spans
from tui.widgets.readouts import force_text, stretch_text, time_text
from tui.widgets.signs import BRAILLE, PLAIN
from tui.widgets.stop_bar import Motor, bar_rows
from tui.widgets.trail_text import trail_spans
from tui.widgets.verdict_card import Card, card_rows


def text(spans: list) -> str:  # type: ignore[type-arg]
    return "".join(span.text for span in spans)


# -- palettes ---------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it."""
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [s / 12.92 if s <= 0.03928 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.1 defines it."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_contrast_ratio_is_that_of_the_guidelines() -> None:
    # WCAG 2.1: black on white is 21:1; #767676 on white is the lightest grey that meets 4.5:1 (4.54).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


#: Looks of lines that only guide the eye: no text is written in them.
NO_TEXT = {"axis", "grid", "boundary", "thread_ahead"}


@pytest.mark.parametrize(
    ("palette", "least"), [(PEAT, 4.5), (LINEN, 4.5), (CHALK, 7.0)], ids=["peat", "linen", "chalk"]
)
def test_every_text_can_be_read_on_every_ground(palette: Palette, least: float) -> None:
    # WCAG 2.1 success criteria 1.4.3 (4.5:1) and, for the palette of high contrast, 1.4.6 (7:1).
    for role, look in LOOKS.items():
        grounds = [palette.colour(look.ground)] if look.ground else [palette.ground, palette.raised]
        for ground in grounds:
            if role not in NO_TEXT:
                assert contrast(palette.colour(look.colour), ground) >= least, role


def test_without_colour_no_style_has_one_and_what_must_stand_out_is_reversed() -> None:
    for role in LOOKS:
        style = style_of(role, BARE, "#000000")
        assert style.color is None
        assert style.bgcolor is None
    for role in ("moving", "alarm", "here", "chosen", "simulated"):
        assert style_of(role, BARE, "#000000").reverse


@pytest.mark.parametrize(
    ("environment", "name"),
    [
        ({}, "peat"),
        ({"COLORFGBG": "15;0"}, "peat"),
        ({"COLORFGBG": "0;15"}, "linen"),
        ({"COLORFGBG": "0;default;7"}, "linen"),
        ({"COLORFGBG": "nonsense"}, "peat"),
        ({"NO_COLOR": "1", "COLORFGBG": "0;15"}, "bare"),
        ({"TERM": "dumb"}, "bare"),
    ],
)
def test_the_first_palette_is_what_the_terminal_and_the_person_say(environment: dict[str, str], name: str) -> None:
    assert first_palette(environment).name == name


def test_verdicts_are_told_apart_by_sign_and_by_words_alone() -> None:
    signs = [sign for sign, _, _ in VERDICTS.values()]
    words = [said for _, said, _ in VERDICTS.values()]
    assert len(set(signs)) == len(set(words)) == len(VERDICTS) == 4
    rows = card_rows(Card("✔", "Meets the guideline of 20 %", "good", "It stretched 41.3 % ± 1.2 % " * 6), 40)
    assert "✔ Meets the guideline of 20 %" in text(rows[0])
    assert all(len(text(row)) <= 40 for row in rows)
    assert not any(text(row).strip(" ▌").startswith("%") for row in rows)


# -- rows -------------------------------------------------------------------------------------------------


def test_the_way_from_rig_to_result_is_readable_without_colour() -> None:
    assert text(trail_spans(2, BRAILLE)) == "▐━ rig ━━ caution ━━[strand]╌╌ pull ╌╌ result ╌▌"
    assert text(trail_spans(4, PLAIN)) == "|= rig == caution == strand == pull ==[result]-|"
    assert len(text(trail_spans(0, BRAILLE))) < 60


def test_the_rigs_row_always_says_simulated_link_and_motor() -> None:
    state = RigState(
        connected=True, name="[bold]bench 3[/]", simulated=True, rate_hz=80.4, moving=True, doing="pulling"
    )
    for width in (60, 80, 120):
        row = text(status_spans(state, width))
        assert wording.SIMULATED in row
        assert wording.LINK_GOOD in row
        assert wording.MOTOR_RUNS in row
        assert len(row) <= width
    assert "[bold]bench 3[/]" in text(status_spans(state, 120))
    assert "80 readings/s" in text(status_spans(state, 120))


def test_the_rigs_row_tells_losses_a_lost_link_and_why_the_motor_is_held() -> None:
    troubled = text(status_spans(RigState(connected=True, lost=3, damaged=1), 80))
    assert "3 lost" in troubled
    assert "1 damaged" in troubled
    assert wording.LINK_GOOD not in troubled
    assert wording.LINK_GONE in text(status_spans(RigState(connected=True, link_gone=True), 80))
    assert "limit switch" in text(status_spans(RigState(connected=True, doing="a limit switch was pressed"), 80))
    assert wording.NO_RIG in text(status_spans(RigState(), 80))


@pytest.mark.parametrize(("motor", "height"), itertools.product(Motor, (1, 3)))
def test_the_stop_bar_fills_its_rows_and_names_its_key(motor: Motor, height: int) -> None:
    rows = bar_rows(motor, 80, height)
    assert len(rows) == height
    assert all(len(text(row)) == 80 for row in rows)
    said = "".join(text(row) for row in rows)
    assert (wording.STOP_ASKED if motor is Motor.STOPPING else wording.KEY_STOP) in said


@given(st.lists(st.tuples(st.text("abc+", min_size=1, max_size=8), st.text("xyz ", max_size=20)), max_size=9))
def test_keys_are_shown_whole_or_not_at_all(keys: list[tuple[str, str]]) -> None:
    row = text(key_spans(keys, 60))
    assert len(row.rstrip()) <= 60
    assert len(key_spans(keys, 10_000)) == 1 + 2 * len(keys)


def test_a_choice_shows_all_words_or_how_many_there_are() -> None:
    wide = text(choice_spans(("dry", "wet"), 1, 60, BRAILLE, focused=False))
    assert "○ dry" in wide
    assert "● wet" in wide
    narrow = text(choice_spans(("front hairline", "crown", "nape"), 2, 20, BRAILLE, focused=True))
    assert "nape" in narrow
    assert "3 of 3" in narrow


def test_figures_are_drawn_from_their_squares_at_any_height() -> None:
    assert bitmap("1") == ["## ", " # ", " # ", " # ", "###"]
    assert figures("7", 3) == ["▀▀█", " ▄▀", " ▀ "]
    for height in range(1, 30):
        for blocks in (True, False):
            rows = figures("0.512", height, blocks=blocks)
            assert len(rows) <= height
            assert len({len(row) for row in rows}) == 1
            if not blocks:
                assert all(row.isascii() for row in rows)
    seen = {tuple(figures(sign, 5)) for sign in "0123456789-"}
    assert len(seen) == 11


def test_live_values_are_written_with_their_places_and_no_negative_zero() -> None:
    assert force_text(-0.0001) == "0.000"
    assert force_text(0.5124) == "0.512"
    assert stretch_text(-0.04) == "0.0"
    assert stretch_text(41.26) == "41.3"
    assert time_text(59.99) == "0:59"
    assert time_text(3601) == "60:01"
    assert (force_text(None), stretch_text(None), time_text(None)) == (None, None, None)


# -- what is typed ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "value"),
    [("30", 30.0), (" 30,5 ", 30.5), ("1e2", 100.0), ("-4", -4.0), ("", None), ("3_0", None), ("nan", None)],
)
def test_numbers_are_read_as_people_type_them(typed: str, value: float | None) -> None:
    assert number(typed) == value


@pytest.mark.parametrize("typed", ["", "0", "-3", "3000000", "thirty", "1e9", "inf", "🙂", "30 mm", "\x1b[2J"])
def test_a_gauge_length_that_cannot_be_is_a_sentence(typed: str) -> None:
    problem = gauge_length_problem(typed)
    assert problem.endswith(".")
    assert "\x1b" not in problem


@pytest.mark.parametrize(("typed", "good"), [("", True), ("70", True), ("-70", False), ("7", False), ("x", False)])
def test_a_diameter_may_be_left_out_but_not_be_nonsense(typed: str, good: bool) -> None:
    assert (diameter_problem(typed) == "") is good


@given(st.text(max_size=300))
def test_whatever_is_typed_makes_a_specimen_fit_for_a_file_or_a_sentence(typed: str) -> None:
    if text_problem(typed) == "":
        specimen = specimen_of(StrandForm(reference=typed, history=typed))
        for kept in (specimen.reference, specimen.history):
            assert not any(unicodedata.category(sign) == "Cc" for sign in kept)


def test_not_said_is_left_empty_in_the_recording() -> None:
    form = StrandForm(zone=wording.NOT_SAID, condition=wording.NOT_SAID, gauge_length="30,5")
    specimen = specimen_of(form)
    assert (specimen.zone, specimen.condition, specimen.diameter_um) == ("", "", None)
    assert specimen.gauge_length_mm == 30.5


# -- between threads, and the first picture -----------------------------------------------------------------


def snapshot(first: int, count: int, phase: Phase = Phase.PULLING) -> Snapshot:
    rows = range(first, first + count)
    batch = SampleBatch(tuple(rows), tuple(rows), tuple(rows), (0,) * count)
    scale = Scale(ForceCalibration(0.001), None, 30.0)
    return Snapshot(phase=phase, scale=scale, health=LinkHealth(), batch=batch)


def test_a_feed_wakes_once_keeps_every_point_and_shows_the_newest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Scale, "strain_pct", lambda self, steps: float(steps))
    woken: list[int] = []
    feed = Feed(lambda: woken.append(1))
    assert feed.take() is None
    feed(snapshot(0, 5, Phase.ZEROING))
    for first in (10, 20, 30):
        feed(snapshot(first, 10))
    assert len(woken) == 1
    update = feed.take()
    assert update is not None
    assert list(update.stretch_pct) == list(range(10, 40))
    assert update.snapshot.batch is not None
    assert update.snapshot.batch.t_us[0] == 30
    assert feed.take() is None
    feed(snapshot(40, 1))
    assert len(woken) == 2


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda p: p.name)
def test_the_first_picture_has_the_frame_where_there_is_room_for_it(palette: Palette) -> None:
    picture = opening(80, 24, palette)
    assert wording.OPENING in picture
    assert wording.KEY_STOP in picture
    assert wording.OPENING not in opening(20, 5, palette)
    assert ("38;2" in picture) is not palette.is_bare


def test_every_screen_with_a_help_paragraph_has_one_and_none_is_left_over() -> None:
    import importlib

    named = set()
    for module, cls in SCREENS.values():
        about = getattr(importlib.import_module(module), cls).ABOUT
        if about in wording_help.ABOUT:
            named.add(about)
    assert {"connect", "address", "simulate", "caution", "strand", "pull", "move_back", "result", "note"} <= named


def test_no_sentence_says_that_anything_is_safe() -> None:
    said = " ".join(str(value) for name, value in vars(wording).items() if name.isupper())
    said += " ".join(wording_help.ABOUT.values())
    assert "safe" not in said.lower()
