# SPDX-License-Identifier: GPL-3.0-or-later
"""Deliberate bugs of the firmware, each one a change of one place, and the test that must catch it.

`SURVIVORS` are those that nothing here can see, with the reason: interrupt code has to be reviewed by eye as well.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mutant:
    """In `file`, `old` (found once) becomes `new`; `caught_by` names a test and its parameters, or a session."""

    name: str
    file: str
    old: str
    new: str
    caught_by: str
    parameters: tuple[object, ...] = ()

    def __str__(self) -> str:
        return self.name.replace(" ", "_")


@dataclass(frozen=True, slots=True)
class Survivor:
    """A bug that the bench does not see, and why."""

    name: str
    file: str
    old: str
    new: str
    why: str


MUTANTS = (
    # --- the thin layer: interrupts, timer, pins ---
    Mutant(
        "clock pulse unguarded",
        "avr/sensor.c",
        "    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)\n    {\n        PORTD |= _BV(SENSOR_CLOCK);",
        "    {\n        PORTD |= _BV(SENSOR_CLOCK);",
        "test_pulls.test_every_sample_is_what_the_amplifier_had",
        (8000,),
    ),
    Mutant("watchdog unpetted", "avr/clock.c", "    wdt_reset();\n", "", "begin"),
    Mutant(
        "watchdog off",
        "avr/main.c",
        "wdt_enable(WDTO_250MS);",
        "wdt_disable();",
        "test_stops.test_main_loop_that_hangs_standing",
    ),
    Mutant(
        "overflow race",
        "avr/clock.c",
        "if ((TIFR1 & _BV(TOV1)) && moment.ticks < 0x8000)",
        "if (0)",
        "test_time.test_readings_round_the_turn_of_the_timer_cycle_by_cycle",
    ),
    Mutant(
        "overflow counted twice",
        "avr/clock.c",
        "&& moment.ticks < 0x8000)",
        ")",
        "test_time.test_readings_round_the_turn_of_the_timer_cycle_by_cycle",
    ),
    Mutant(
        "time not latched",
        "avr/sensor.c",
        "clock_us(ready_at), counts",
        "thin_now_us(), counts",
        "test_pulls.test_every_sample_is_what_the_amplifier_had",
        (1000,),
    ),
    Mutant(
        "position not latched",
        "avr/sensor.c",
        "counts, ready_position}",
        "counts, motor_position()}",
        "test_pulls.test_every_sample_is_what_the_amplifier_had",
        (8000,),
    ),
    Mutant(
        "data bits taken for new readings",
        "avr/sensor.c",
        "    EIMSK &= (uint8_t)~_BV(INT0);\n",
        "",
        "test_pulls.test_every_sample_is_what_the_amplifier_had",
        (1000,),
    ),
    Mutant(
        "sign lost",
        "avr/sensor.c",
        "(int32_t)(bits << 8) >> 8",
        "(int32_t)bits",
        "test_pulls.test_every_sample_is_what_the_amplifier_had",
        (1000,),
    ),
    Mutant("23 bits", "avr/sensor.c", "READING_BITS = 24", "READING_BITS = 23", "begin_moving"),
    Mutant(
        "short circuit taken for readings",
        "avr/sensor.c",
        "bool released = pulse();",
        "bool released = pulse() || true;",
        "test_stops.test_amplifier_with_a_cut_wire",
        (1,),
    ),
    Mutant(
        "limit not checked in the interrupt",
        "avr/motor.c",
        "else if (PINB & switch_ahead)",
        "else if (0)",
        "test_stops.test_limit_switch_hit_at_full_speed",
    ),
    Mutant(
        "limit switches swapped",
        "avr/motor.c",
        "new_direction < 0 ? _BV(NEAR_SWITCH) : _BV(FAR_SWITCH)",
        "new_direction < 0 ? _BV(FAR_SWITCH) : _BV(NEAR_SWITCH)",
        "test_stops.test_limit_switch_hit_at_full_speed",
    ),
    Mutant(
        "emergency stop without its interrupt",
        "avr/motor.c",
        "    EIMSK |= _BV(INT1);\n",
        "",
        "test_stops.test_emergency_stop_latches_and_forgets_the_position",
    ),
    Mutant(
        "emergency stop leaves the driver on",
        "avr/motor.c",
        "    PORTD |= _BV(DRIVER_OFF);\n    halt(HALT_EMERGENCY);",
        "    halt(HALT_EMERGENCY);",
        "test_stops.test_emergency_stop_at_every_phase_of_a_step",
        (0,),
    ),
    Mutant(
        "hung main loop not noticed",
        "avr/motor.c",
        "++since_plan > HUNG_AFTER",
        "0 && ++since_plan > HUNG_AFTER",
        "test_stops.test_main_loop_that_hangs",
        (0,),
    ),
    Mutant(
        "hung main loop not remembered",
        "avr/motor.c",
        "        memory_set(MEMORY_HUNG);\n",
        "",
        "test_stops.test_main_loop_that_hangs",
        (0,),
    ),
    Mutant(
        "every motion taken for hung",
        "avr/motor.c",
        "        since_plan = 0;\n    }\n    for",
        "    }\n    for",
        "moves",
    ),
    Mutant(
        "step pulse too short",
        "avr/motor.c",
        "    PORTD |= _BV(STEP);\n    position",
        "    PORTD |= _BV(STEP);\n    PORTD &= (uint8_t)~_BV(STEP);\n    position",
        "test_pulls.test_a_move_goes_exactly_where_it_was_sent_at_its_speed",
        (1000,),
    ),
    Mutant("driver never enabled", "avr/motor.c", "PORTD &= (uint8_t)~_BV(DRIVER_OFF);", ";", "begin_moving"),
    Mutant("direction never set", "avr/motor.c", "PORTD |= _BV(DIRECTION);", ";", "begin_moving"),
    Mutant(
        "reset forgets that the motor ran",
        "avr/motor.c",
        "        memory_set(MEMORY_MOVED);\n",
        "",
        "test_stops.test_reset_in_the_middle_of_a_pull",
    ),
    Mutant(
        "random RAM believed",
        "avr/memory.c",
        "bool marked = kept.mark == KEPT_MARK;",
        "bool marked = true;",
        "test_stops.test_power_lost_in_the_middle_of_a_move",
    ),
    Mutant(
        "second reset forgets", "avr/memory.c", "kept.memory = at_start;", "kept.memory = MEMORY_STOOD;", "resets"
    ),
    Mutant(
        "starts not counted beyond 255",
        "avr/memory.c",
        "        eeprom_write(1, high);\n",
        "        ;\n",
        "test_pulls.test_the_board_starts_counting_and_never_forgets",
    ),
    Mutant(
        "full line not noticed",
        "avr/line.c",
        "return OUT_CAPACITY - (uint8_t)(out_newest - out_oldest);",
        "return OUT_CAPACITY;",
        "test_line.test_a_full_line_drops_readings_and_says_so",
    ),
    Mutant(
        "transmitter never off",
        "avr/line.c",
        "        UCSR0B &= (uint8_t)~_BV(UDRIE0);",
        "        ;",
        "begin",
    ),
    # --- the core ---
    Mutant(
        "no end to a frame",
        "frames.c",
        "if (in->length < FRAME_IN_MAX)",
        "if (1)",
        "test_line.test_random_bytes_never_starve_the_motor",
    ),
    Mutant("checksum bytes swapped", "frames.c", "(uint8_t)(crc >> 8)", "(uint8_t)(crc & 0xFF)", "begin"),
    Mutant("checksum not checked", "frames.c", "&& crc_of(in->bytes, in->length) == 0", "", "noise"),
    Mutant(
        "silence timer off",
        "core.c",
        "else if (now - c->alive_us >= SILENCE_US)",
        "else if (0)",
        "test_stops.test_silent_host",
        (100,),
    ),
    Mutant(
        "damage taken for a sign of life",
        "core.c",
        "            c->bad_frames++;\n",
        "            c->bad_frames++, c->alive_us = thin_now_us();\n",
        "test_line.test_random_bytes_while_moving",
    ),
    Mutant("sequence not advanced", "core.c", "c->seq++;", "c->seq;", "begin_moving"),
    Mutant(
        "drops not told",
        "say.c",
        "        c->tell_dropped = true;\n",
        "",
        "test_line.test_a_full_line_drops_readings_and_says_so",
    ),
    Mutant(
        "sensor timeout off",
        "core.c",
        "if (now - c->reading_us >= SENSOR_TIMEOUT_US)",
        "if (0)",
        "test_stops.test_silent_amplifier",
    ),
    Mutant("homed after an emergency stop", "core.c", "    c->homed = false;\n", "", "faults"),
    Mutant(
        "emergency stop cleared while pressed",
        "commands.c",
        "(thin_switches() & SWITCH_EMERGENCY))\n        return SP_RESULT_LATCHED;",
        "0)\n        return SP_RESULT_LATCHED;",
        "faults",
    ),
    Mutant("moves with a reason latched", "commands.c", "    if (latching(c->reason))\n", "    if (0)\n", "faults"),
    Mutant(
        "moves on from a running motor",
        "commands.c",
        "    if (running(c))\n        return SP_RESULT_BUSY;\n    if (l",
        "    if (l",
        "moves",
    ),
    Mutant(
        "any speed",
        "commands.c",
        "o->speed == 0 || o->speed > MAX_SPEED_STEPS_S * UINT32_C(1000) ||",
        "",
        "switches",
    ),
    Mutant("beyond the travel", "commands.c", "if (!homing && outside_travel(c, o->target))", "if (0)", "switches"),
    Mutant("into a pressed switch", "commands.c", "        return SP_RESULT_AT_LIMIT;", "        ;", "switches"),
    Mutant("strangers obeyed", "commands.c", "else if (!c->identified)", "else if (0)", "strangers"),
    Mutant("any version welcome", "commands.c", "payload[1] == SP_PROTOCOL_VERSION", "true", "strangers"),
    Mutant(
        "repeats carried out again",
        "commands.c",
        "id == c->answered.id && request == c->answered.request",
        "0",
        "repeats",
    ),
    Mutant(
        "a new host's command taken for an old one",
        "say.c",
        "    remember(c, SP_ID_IDENTIFY, request, SP_RESULT_OK);\n",
        "",
        "repeats",
    ),
    Mutant("home without a zero", "core.c", "    thin_set_position(0);\n", "", "switches"),
    Mutant(
        "stop at once",
        "commands.c",
        "        c->motion.stopping = true;\n",
        "        thin_halt(), c->motion.position = c->motion.target = thin_position();\n",
        "moves",
    ),
    Mutant(
        "no median", "force.c", "median(distance(f, 1), distance(f, 2), distance(f, 3))", "distance(f, 1)", "pulls"
    ),
    Mutant("break without confirmation", "force.c", "f->low >= LOW_MEDIANS", "f->low >= 1", "pulls"),
    Mutant("force from counter zero", "force.c", " - f->zero;", ";", "pulls"),
    Mutant("force limit off", "force.c", "if (force >= f->limit)", "if (0)", "pulls"),
    Mutant("no braking", "motion.c", "left * 1000 - m->phase / 1000 <= m->braking", "0", "moves"),
    Mutant(
        "fractions of steps lost",
        "motion.c",
        "for (m->phase += m->speed;",
        "for (m->phase = m->speed;",
        "test_pulls.test_a_move_goes_exactly_where_it_was_sent_at_its_speed",
        (240,),
    ),
)

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
