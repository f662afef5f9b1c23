# SPDX-License-Identifier: GPL-3.0-or-later
"""Deliberate bugs of the core, and the test that must catch each."""

from __future__ import annotations

from tests.emulated_bench.mutants import Mutant

CORE_MUTANTS = (
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
