# SPDX-License-Identifier: GPL-3.0-or-later
"""Deliberate bugs that nothing here can see, with the reason: interrupt code has to be reviewed by eye as well."""

from __future__ import annotations

from tests.emulated_bench.mutants import Survivor

SURVIVORS = (
    Survivor(
        "step time passed by",
        "avr/motor.c",
        "if (ticks_until_step() < SOONEST)",
        "if (0)",
        "the main loop must be a millisecond late to within 3 us, and the step the first of its millisecond",
    ),
    Survivor(
        "step whenever the interrupt comes",
        "avr/motor.c",
        "if (ticks_until_step() <= 0)",
        "if (1)",
        "the timer must pass the last step's place in the few cycles in which a first step is entered",
    ),
    Survivor(
        "no lock round the position",
        "avr/motor.c",
        "ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { now = position; }",
        "now = position;",
        "a step must fall between two of four instructions, where a byte carries: once in millions of readings",
    ),
    Survivor(
        "no lock round the time",
        "avr/clock.c",
        "ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { now = clock_moment(); }",
        "now = clock_moment();",
        "the timer must turn over between two of a few instructions; readings are stamped in an interrupt, not so",
    ),
    Survivor(
        "stale edges not cleared",
        "avr/sensor.c",
        "        EIFR = _BV(INTF0); /* The bits just read have made edges. */\n",
        "",
        "the emulator does not keep an edge that comes while its interrupt is off; the chip does",
    ),
    Survivor(
        "no pull-up on the data pin",
        "avr/sensor.c",
        "    PORTD |= _BV(SENSOR_DATA); /* Pull-up: with a cut wire there is never a reading. */\n",
        "",
        "the emulated world drives every pin; an open one has no level there",
    ),
    Survivor(
        "switch looked at by one interrupt less",
        "avr/motor.c",
        "        if (EMERGENCY_PRESSED())\n            emergency();\n        else if",
        "        if",
        "twice secured on purpose: the emergency stop has an interrupt of its own",
    ),
    Survivor(
        "asleep with work waiting",
        "avr/main.c",
        "        cli();\n        if (nothing_to_do())",
        "        if (nothing_to_do())",
        "an interrupt must come between two instructions, and the next millisecond wakes the loop all the same",
    ),
    Survivor(
        "reset cause kept",
        "avr/main.c",
        "    MCUSR = 0;\n",
        "",
        "the emulator lets the watchdog be set all the same; the chip does not after a watchdog reset",
    ),
)
