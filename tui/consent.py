"""The cautions on the command line: shown before the first motion, confirmed where a person can answer."""

from __future__ import annotations

import sys

from tui.cautions import CAUTIONS, CONFIRM, DEFERENCE
from tui.failure import CommandError
from tui.output import is_terminal, note, paint
from tui.text_width import wrapped

#: What counts as agreement.
AGREEMENT = frozenset({"y", "yes"})


def show_cautions(*, simulated: bool) -> None:
    """Print the cautions; of a simulated rig it is said that nothing moves."""
    lead = "This rig is simulated: nothing moves. At a real one:" if simulated else "Before the motor moves:"
    note(paint(lead, "strong", sys.stderr))
    for caution in CAUTIONS:
        note(wrapped(f"! {caution}", hang=2))
    note(wrapped(DEFERENCE))
    note()


def get_consent(*, agreed: bool) -> None:
    """Ask whether the stage is clear, unless it was said on the command line or nobody is there to answer.

    Raises CommandError where the answer is anything but yes.
    """
    if agreed or not is_terminal(sys.stdin):
        return
    sys.stderr.write(f"{CONFIRM} [y/N] ")
    sys.stderr.flush()
    if sys.stdin.readline().strip().lower() not in AGREEMENT:
        raise CommandError("Nothing was moved. Start again when the stage is clear, and answer y.")
