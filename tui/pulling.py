"""What the commands that pull a strand share: saying which rig it is, and what a finished pull showed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.analysing import NOTHING_SPECIAL, Wishes, analyse_file
from tui.failure import DONE, INTERRUPTED, LONGEST_SENTENCE, NOT_DONE
from tui.format import plain
from tui.output import complain, note, say_json
from tui.safe_text import clean

if TYPE_CHECKING:
    from analysis.results import PullResult
    from rig.facts import RigFacts
    from rig.outcome import PullOutcome

#: End reason of a recording that the person stopped.
BY_PERSON = "key"


def note_rig(facts: RigFacts) -> None:
    """Say which rig answered and what it can do."""
    simulated = "simulated, " if facts.simulated else ""
    board = f"{simulated}board {facts.board_id:08x}, firmware {clean(facts.firmware)}"
    note(f"Connected to {clean(facts.name) or 'a rig without a name'} ({board}).")
    rate, cell, travel = plain(facts.rate_hz), plain(facts.force_range_n, "N"), plain(facts.travel_mm, "mm")
    note(f"{rate} readings a second, load cell {cell}, travel {travel}.")


def result_of(outcome: PullOutcome, wishes: Wishes = NOTHING_SPECIAL) -> PullResult:
    """Say how the pull ended and where its recording is, and work out its result from that recording."""
    note(f"- {clean(outcome.message, LONGEST_SENTENCE)}")
    lost = f", {outcome.lost} lost on the way" if outcome.lost else ""
    note(f"Recorded in {clean(str(outcome.path), LONGEST_SENTENCE)} ({outcome.rows} readings{lost}).")
    note()
    return analyse_file(outcome.path, wishes)


def say_pull(outcome: PullOutcome, result: PullResult, *, as_json: bool) -> None:
    """Print the result of a pull."""
    if as_json:
        say_json([{**result.to_json(), "recording": str(outcome.path)}], as_list=False)
        return
    from tui.result_text import say_curve, say_result

    say_curve(result)
    say_result(result)


def status_of(outcome: PullOutcome, *, by_hand: bool = False) -> int:
    """The exit status of a pull; says in one sentence why it is not the good one.

    A pull by hand is over when the person says so; one by motor should end by itself.
    """
    stopped = outcome.end_reason == BY_PERSON
    if outcome.as_planned or (by_hand and stopped):
        return DONE
    complain(clean(outcome.message, LONGEST_SENTENCE))
    return INTERRUPTED if stopped else NOT_DONE
