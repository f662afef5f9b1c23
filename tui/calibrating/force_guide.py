"""Weights hung one after the other, by a person at the rig: asked for, waited for, taken, shown, taken back.

In a terminal each step waits for Enter. With a wait given it goes on by itself, and needs no keyboard.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tui.asking import BACK, QUIT, ask, somebody_answers, walk
from tui.failure import CommandError, sentence
from tui.format import plain
from tui.output import note

if TYPE_CHECKING:
    from analysis.metrology.load_steps import LoadStep
    from rig.levels import Level

NOBODY = (
    "Somebody has to be at the rig: run this in a terminal, or give --wait-s SECONDS to go on by itself after each "
    "change."
)
KEYS = f"(Enter when it hangs still; {BACK}: one step back; {QUIT}: give up)"


@dataclass
class ForceGuide:
    """Walks a person through the loads. `take` gives the level of the rig now."""

    take: Callable[[], Level]
    wait_s: float | None = None
    _zero: Level | None = field(default=None, init=False)

    def walk(self, masses_g: Sequence[float]) -> list[LoadStep]:
        """All loads in order. Raises CommandError where the person gives up, and what `take` raises."""
        from analysis.metrology.load_steps import LoadStep

        if self.wait_s is None and not somebody_answers():
            raise CommandError(NOBODY)
        levels = walk(masses_g, lambda number, _: self._step(number, masses_g))
        before = [0.0, *masses_g]
        return [
            LoadStep(mass, level.counts, level.sd_counts, level.n, mass >= last)
            for mass, level, last in zip(masses_g, levels, before, strict=False)
        ]

    def _step(self, number: int, masses_g: Sequence[float]) -> Level:
        mass, before = masses_g[number], masses_g[number - 1] if number else None
        head = f"Step {number + 1} of {len(masses_g)}: {_what_to_do(mass, before)}"
        while True:
            if self.wait_s is None:
                ask(f"{head} {KEYS}")
            else:
                note(f"{head} ({plain(self.wait_s, 's')})")
                time.sleep(self.wait_s)
            try:
                level = self.take()
            except Exception as problem:
                if self.wait_s is not None or not _may_be_put_right(problem):
                    raise
                note(f"  {sentence(problem)}")
                continue
            self._zero = level if number == 0 else self._zero
            self._show(mass, level)
            return level

    def _show(self, mass_g: float, level: Level) -> None:
        zero = self._zero.counts if self._zero else level.counts
        above = level.counts - zero
        each = f", {above / mass_g:.1f} for each gram" if mass_g else ""
        note(f"  {above:+.0f} counts from the zero{each}; sd {plain(level.sd_counts, digits=3)}, n {level.n}")
        if level.left_out:
            note(f"  ! {level.left_out} wild readings were left out")
        if not level.settled:
            note("  ! the reading was still moving; take it again if the weight swings or the air moves")


def _what_to_do(mass_g: float, before_g: float | None) -> str:
    if not mass_g:
        return "take everything off the hook"
    if before_g is not None and mass_g < before_g:
        return f"take weights off until {mass_g:g} g hang"
    return f"hang {mass_g:g} g"


def _may_be_put_right(problem: Exception) -> bool:
    from rig.errors import NoReadings

    return isinstance(problem, NoReadings)
