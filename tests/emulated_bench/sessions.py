# SPDX-License-Identifier: GPL-3.0-or-later
"""Scripted sessions: what a host sends and what befalls the board, at which time. The same for every kind of rig.

Nothing is timed on a reading (every 12.5 ms from power-on), since who comes first would then be chance.
"""

from __future__ import annotations

from random import Random

from firmware_protocol.codec import encode
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import ClearStop, Home, Identify, Move, Pull, Query, Stop, Stream, Zero
from firmware_protocol.vocabulary import PROTOCOL_VERSION, StopReason
from tests.emulated_bench.script import Script

#: Forces over the zero of the scripted readings [count].
SMALL, HALF, FULL = 20_000, 400_000, 1_000_000
LIMIT = 5_000_000


def strangers() -> Script:
    """Who has not identified himself, and messages that are none."""
    s = Script("strangers")
    s.send(203, Query(0))
    s.send(219, Move(0, 100, 1_000_000, LIMIT))
    s.send(231, Stop(0))
    s.send(244, Identify(0, PROTOCOL_VERSION + 1))
    s.send(256, Stream(0, 1))
    s.send(269, Identify(0, PROTOCOL_VERSION))
    s.raw(281, encode_frame(bytes([0x55, 77, 1, 2])))
    s.raw(294, encode_frame(bytes([0x06, 78, 1, 2])))
    s.raw(306, encode_frame(bytes([0x83, 79]) + bytes(15)))
    s.raw(319, encode_frame(bytes([0x0A])))
    s.raw(325, encode_frame(bytes([0x55]) + bytes(30)))
    s.send(331, Stream(0, 2))
    s.send(344, Stream(0, 1))
    s.send(356, ClearStop(0, StopReason.BREAK_SEEN))
    s.send(369, ClearStop(0, StopReason.NONE))
    s.send(381, Query(0))
    return s


def early() -> Script:
    """Commands before there are enough readings."""
    s = Script("early")
    s.send(19, Identify(0, PROTOCOL_VERSION))
    s.send(31, Zero(0))
    s.send(44, Move(0, 100, 1_000_000, LIMIT))
    s.send(56, Home(0, 1_000_000))
    s.send(69, Query(0))
    s.send(119, Zero(0))
    s.send(131, Move(0, 100, 1_000_000, LIMIT))
    s.send(806, Query(0))
    return s


def moves() -> Script:
    """There and back, busy answers, stops in every phase of a trapezoid."""
    s = Script("moves")
    s.begin()
    s.send(256, Move(0, 2000, 4_000_000, LIMIT))
    s.send(306, Move(0, 0, 4_000_000, LIMIT))
    s.send(319, Zero(0))
    s.send(331, Query(0))
    s.send(1606, Move(0, 2000, 1_000_000, LIMIT))
    s.send(1706, Move(0, -1500, 8_000_000, LIMIT))
    at = 3606.0
    for phase_ms in (5, 60, 300, 800):
        s.send(at, Move(0, 40_000, 4_000_000, LIMIT))
        s.send(at + phase_ms, Stop(0))
        s.send(at + phase_ms + 16, Query(0))
        s.send(at + phase_ms + 29, Stop(0))
        at += 1800
    s.send(at, Stop(0))
    s.send(at + 25, Move(0, 50, 35_123, LIMIT))
    s.send(at + 1875, Query(0))
    return s


def switches() -> Script:
    """Homing, travel, limit switches."""
    s = Script("switches")
    s.begin()
    for message in (Move(0, 10, 0, LIMIT), Move(0, 10, 8_000_001, LIMIT), Move(0, 10, 1000, 0), Home(0, 0)):
        s.send(256 + 12.5 * len(s.actions), message)
    s.send(406, Home(0, 4_000_000))
    s.send(2606, Query(0))
    s.send(2619, Move(0, -1, 1_000_000, LIMIT))
    s.send(2631, Move(0, 48_001, 1_000_000, LIMIT))
    s.send(2644, Home(0, 1_000_000))
    s.send(2706, Move(0, 20_000, 3_000_000, LIMIT))
    s.set(3306.3, "far_held", 1)
    s.send(3331, Query(0))
    s.send(3344, Move(0, 0, 3_000_000, LIMIT))
    s.send(3356, ClearStop(0, StopReason.LIMIT_SWITCH))
    s.send(3369, Move(0, 20_000, 3_000_000, LIMIT))
    s.send(3381, Move(0, 790, 3_000_000, LIMIT))
    s.set(3706, "far_held", 0)
    return s


def pulls() -> Script:
    """A break, a glitch that is none, the force limit, a floor that was not reached."""
    s = Script("pulls")
    s.begin()
    s.level(0, 406)
    s.send(306, Pull(0, 30_000, 2_000_000, LIMIT, 100_000))
    s.level(HALF, 706)
    s.readings.append(8_388_607)
    s.level(FULL, 1006)
    s.level(SMALL, 1606)
    s.send(1306, Pull(0, 30_000, 2_000_000, LIMIT, 100_000))
    s.send(1319, ClearStop(0, StopReason.FORCE_LIMIT))
    s.send(1331, ClearStop(0, StopReason.BREAK_SEEN))
    s.send(1344, Pull(0, 30_000, 2_000_000, HALF, 100_000))
    s.level(FULL, 2206)
    s.send(1906, ClearStop(0, StopReason.FORCE_LIMIT))
    s.send(1919, Pull(0, 6_010, 2_000_000, LIMIT, 2_000_000))
    s.level(0, 4606)
    s.level(HALF - 10_000, 4906)
    s.send(4406, Pull(0, 6_310, 2_000_000, HALF, 0))
    s.send(5006, Query(0))
    return s


def faults() -> Script:
    """Emergency stop running and standing, a silent amplifier, a silent host."""
    s = Script("faults")
    s.begin()
    s.send(256, Home(0, 8_000_000))
    s.send(1506, Move(0, 20_000, 2_000_000, LIMIT))
    s.set(1806.3, "emergency", 1)
    s.send(1831, ClearStop(0, StopReason.EMERGENCY_STOP))
    s.set(1856, "emergency", 0)
    s.send(1869, Move(0, 0, 2_000_000, LIMIT))
    s.send(1881, ClearStop(0, StopReason.EMERGENCY_STOP))
    s.send(1894, Query(0))
    s.set(1931, "emergency", 1)
    s.set(1981, "emergency", 0)
    s.send(2006, ClearStop(0, StopReason.EMERGENCY_STOP))
    s.send(2056, Move(0, 6_000, 2_000_000, LIMIT))
    s.set(2106, "silent", 1)
    s.send(2806, Query(0))
    s.send(2819, ClearStop(0, StopReason.SENSOR_FAULT))
    s.send(2831, Move(0, 6_000, 2_000_000, LIMIT))
    s.set(2906, "silent", 0)
    s.send(3006, Move(0, 9_000, 1_000_000, LIMIT))
    s.silent_from_ms, s.silent_to_ms = 3200, 4200
    s.send(4206, Query(0))
    s.send(4219, Move(0, 0, 1_000_000, LIMIT))
    s.send(4231, ClearStop(0, StopReason.HOST_SILENT))
    s.send(4244, Move(0, 6_000, 2_000_000, LIMIT))
    return s


def resets() -> Script:
    """A reset standing, and one running."""
    s = Script("resets")
    s.begin()
    s.reset(306)
    s.send(331, Query(0))
    s.send(431, Identify(0, PROTOCOL_VERSION))
    s.send(444, Stream(0, 1))
    s.send(506, Move(0, 6_000, 4_000_000, LIMIT))
    s.reset(1006)
    s.send(1031, Query(0))
    s.reset(1056)
    s.send(1131, Identify(0, PROTOCOL_VERSION))
    s.send(1144, Stream(0, 1))
    s.send(1156, Move(0, 6_000, 4_000_000, LIMIT))
    s.send(1169, ClearStop(0, StopReason.RESET))
    s.send(1181, Move(0, 500, 4_000_000, LIMIT))
    s.reset(2006)
    s.send(2131, Identify(0, PROTOCOL_VERSION))
    s.send(2144, Query(0))
    return s


def repeats() -> Script:
    """Commands repeated with their own number, and numbers used again."""
    s = Script("repeats")
    s.begin()
    s.send(256, Move(9, 1_000, 2_000_000, LIMIT))
    s.send(269, Move(9, 1_000, 2_000_000, LIMIT), times=2)
    s.send(1406, Move(9, 3_000, 2_000_000, LIMIT))
    s.send(1419, Move(10, 0, 2_000_000, LIMIT), times=2)
    s.send(1606, Stop(11), times=3)
    s.send(2006, Stop(11))
    s.send(2019, ClearStop(12, StopReason.COMMAND), times=2)
    s.send(2031, Zero(12), times=2)
    s.send(2044, Query(13), times=2)
    s.send(2056, Identify(13, PROTOCOL_VERSION), times=2)
    s.send(2069, Stream(14, 0), times=2)
    s.send(2081, Stream(15, 1), times=2)
    s.send(2094, Move(16, 1_000, 2_000_000, LIMIT))
    s.send(2506, Identify(17, PROTOCOL_VERSION))
    s.send(2519, Move(16, 500, 2_000_000, LIMIT))
    return s


def noise() -> Script:
    """Bytes altered, lost and made up on their way to the board."""
    s = Script("noise")
    s.begin()
    rng = Random(20)
    for number in range(60):
        frame = bytearray(encode_frame(encode(Query(100 + number))))
        damage = rng.randrange(4)
        if damage == 1:
            frame[rng.randrange(len(frame))] ^= 1 << rng.randrange(8)
        elif damage == 2:
            del frame[rng.randrange(len(frame)) :]
        elif damage == 3:
            frame += rng.randbytes(rng.randrange(1, 40))
        s.raw(306 + 12.5 * number, bytes(frame))
    s.raw(1106, b"\0")
    s.send(1119, Query(0))
    return s


SCRIPTS = (strangers, early, moves, switches, pulls, faults, resets, repeats, noise)
