"""Another kind of pull than to the break, chosen and carried out in the app by keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from recordings.reader import read_recording
from tests.tui.driver import running, settings
from tui import wording
from tui.strand_form import METHOD_KINDS, StrandForm, method_of
from tui.widgets.choice import Choice
from tui.widgets.value_list import ValueList


@pytest.mark.parametrize("kind", wording.STRAND_KINDS)
def test_each_choice_is_a_kind_that_the_rig_can_carry_out(kind: str) -> None:
    from rig.phases import SEQUENCES

    method = method_of(StrandForm(kind=kind))
    assert method.kind == METHOD_KINDS[kind]
    assert method.kind == "pull_to_break" or method.kind in SEQUENCES


def test_help_says_what_each_kind_is() -> None:
    from tui.wording_help import ABOUT

    for words in ("pull to the break", "proof", "Stretch and return", "hold"):
        assert words in ABOUT["strand"]


async def test_proof_by_keys(tmp_path: Path) -> None:
    async with running(tmp_path, settings()) as person:
        await person.to_strand()
        choice = person.app.screen.query_one("#kind", Choice)
        choice.focus()
        await person.press("right")
        assert choice.value == "proof"
        await person.press("enter")
        await person.until_screen("PullScreen")
        await person.press("enter")
        await person.until_screen("ResultScreen")
        values = person.app.screen.query_one(ValueList)
        await person.until(lambda: any(span.text.strip() == "stretched by" for span in values.row(0)))
        (path,) = tmp_path.glob("*.pull.csv")
        recording = read_recording(path)
        assert recording.header.method.kind == "proof"
        assert recording.end is not None
        assert recording.end.reason == "done"
        assert not person.app.bench.must_move_back
