"""A stage moved from position to position, and a person who says what a dial gauge or a gauge block says there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.asking import BACK, QUIT, ask, somebody_answers, walk
from tui.failure import CommandError
from tui.format import fixed, plain
from tui.output import note
from tui.strand_form import number

if TYPE_CHECKING:
    from analysis.metrology.extension_calibration import LengthStep
    from rig.positions import Stop
    from rig.stretcher import Stretcher

NOBODY = (
    "Somebody has to read the gauge: run this in a terminal, or give --readings FILE with what was read before, or "
    "--turns, --lead-mm and --steps."
)
#: A block is put in with the stage this much short of it, and then given room little by little [mm].
SHORT_OF_BLOCK_MM = 0.2
#: Nudges larger than this are a slip of the finger [mm].
LARGEST_NUDGE_MM = 1.0


def read_dial(stretcher: Stretcher, positions_mm: Sequence[float], u_mm: float, *, back: bool) -> list[LengthStep]:
    """The dial gauge's readings at positions out and back."""
    from rig.positions import go_to, planned_stops

    if not somebody_answers():
        raise CommandError(NOBODY)
    stops = planned_stops(stretcher, positions_mm, back=back)

    def take(count: int, stop: Stop) -> LengthStep:
        steps = go_to(stretcher, stop)
        way = "out" if stop.outward else "back"
        head = f"Step {count + 1} of {len(stops)}, {way} at {stop.nominal_mm:g} mm: the gauge says, in mm"
        return _step(_number(f"{head} ({BACK}: one step back; {QUIT}: give up)"), u_mm, steps, stop.outward)

    return walk(stops, take)


def fit_blocks(stretcher: Stretcher, blocks_mm: Sequence[float], u_mm: float) -> list[LengthStep]:
    """The step counts at which gauge blocks just fit, each reached outwards."""
    from rig.positions import RUN_UP_MM, go_to, nudge, planned_stops

    if not somebody_answers():
        raise CommandError(NOBODY)
    blocks = sorted(set(blocks_mm))
    short = stretcher.facts.steps(SHORT_OF_BLOCK_MM)
    stops = planned_stops(stretcher, [block - blocks[0] for block in blocks], back=False)
    note(f"It moves out by {RUN_UP_MM} mm first: the {blocks[0]:g} mm block must not quite fit then.")

    def take(count: int, stop: Stop) -> LengthStep:
        steps = go_to(stretcher, replace(stop, steps=stop.steps - (short if count else 0)))
        head = f"Step {count + 1} of {len(stops)}: the {blocks[count]:g} mm block"
        while True:
            by_mm = _nudge(f"{head}: mm to move such as 0.05 or -0.02, Enter when it just fits ({BACK}, {QUIT})")
            if by_mm is None:
                return _step(blocks[count], u_mm, steps, True)
            steps = nudge(stretcher, by_mm)
            note(f"  at step {steps}")

    return walk(stops, take)


def _step(reference_mm: float, u_mm: float, steps: int, outward: bool) -> LengthStep:
    from analysis.metrology.extension_calibration import LengthStep

    note(f"  {fixed(reference_mm, 4)} mm at step {steps}")
    return LengthStep(reference_mm, u_mm, steps, outward)


def _number(question: str) -> float:
    """Ask until a number comes."""
    while True:
        value = number(ask(question))
        if value is not None:
            return value
        note("  Type a number such as 2.003.")


def _nudge(question: str) -> float | None:
    """Ask until a small length comes, or nothing: it fits."""
    while True:
        text = ask(question)
        if not text:
            return None
        by_mm = number(text)
        if by_mm is not None and 0 < abs(by_mm) <= LARGEST_NUDGE_MM:
            return by_mm
        note(f"  Type at most {plain(LARGEST_NUDGE_MM, 'mm')}, such as 0.05, or Enter when the block fits.")
