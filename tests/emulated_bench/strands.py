# SPDX-License-Identifier: GPL-3.0-or-later
"""Strands for the bench: force in counts over steps of the reference stage. Invented, of about the right size."""

from __future__ import annotations

from tests.emulated_bench.rigs import CompiledRig

#: Reference stage [step/mm].
STEPS_PER_MM = 800
#: Nominal, of the reference board.
COUNTS_PER_N = 1_073_742
#: A force no strand of these reaches [count].
HIGH_LIMIT = 2 * COUNTS_PER_N
#: A tenth of a newton: below it no break is looked for [count].
FLOOR = COUNTS_PER_N // 10

#: 30 mm gauge length: elastic to 3 %, yield to 27 %, stiffer to the break at 45 %: 13.5 mm.
BREAK_STEPS = round(13.5 * STEPS_PER_MM)
STRAND = (
    (0.0, 0.0),
    (0.9 * STEPS_PER_MM, 0.45 * COUNTS_PER_N),
    (8.1 * STEPS_PER_MM, 0.55 * COUNTS_PER_N),
    (13.5 * STEPS_PER_MM, 1.0 * COUNTS_PER_N),
)


def mount(rig: CompiledRig, break_steps: float = BREAK_STEPS) -> None:
    """Put a fresh strand between the clamps, where they are now at 0."""
    rig.strand(STRAND, break_steps)
