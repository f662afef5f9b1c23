"""How the board answers each command: the refusals in their order, and what an accepted command begins.

Knows no bytes, no repeats and no line.
"""

from __future__ import annotations

from firmware_protocol.codec import table_crc
from firmware_protocol.messages import (
    Ack,
    ClearStop,
    Command,
    FromBoard,
    Home,
    Identify,
    Identity,
    Move,
    Pull,
    Query,
    Status,
    Stop,
    Stream,
    Zero,
)
from firmware_protocol.vocabulary import LATCHING, PROTOCOL_VERSION, Ability, BoardState, Result, StopReason
from rig.simulated.amplifier import COUNTS_PER_N, FORCE_RANGE_MN, SENSOR_BITS
from rig.simulated.machine import Machine
from rig.simulated.settings import SimulationSettings
from rig.simulated.stage import MAX_SPEED_STEPS_S, STEPS_PER_MM, TRAVEL_STEPS

#: Version of the simulated board: high byte major, low byte minor.
FIRMWARE_VERSION = 0x0100
NAME = "simulated rig"
#: Board numbers of simulated rigs: this much plus the seed.
BOARD_ID_BASE = 0x5B000000
COUNTER_WRAP = 1 << 16
#: Home gives up after the whole travel and a tenth more.
HOME_STEPS = TRAVEL_STEPS * 11 // 10


def answer(machine: Machine, settings: SimulationSettings, command: Command, dropped: int, bad: int) -> FromBoard:
    """Carry out a command, or refuse it; the answer to send. `dropped` and `bad` are the line's own counts."""
    match command:
        case Identify():
            machine.identified = command.host_protocol == PROTOCOL_VERSION
            return identity(machine, settings, command.request)
        case Query() if machine.identified:
            return _status(machine, command.request, dropped, bad)
        case _:
            return Ack(command.request, _result(machine, command))


def identity(machine: Machine, settings: SimulationSettings, request: int) -> Identity:
    """Who the simulated board is; some faults make it say something else."""
    wrong = machine.faults.active
    return Identity(
        request=request,
        protocol=PROTOCOL_VERSION + ("wrong-protocol" in wrong),
        table_crc=table_crc() ^ ("wrong-table" in wrong),
        firmware=FIRMWARE_VERSION,
        boot_count=machine.boot_count % COUNTER_WRAP,
        board_id=BOARD_ID_BASE + settings.seed % COUNTER_WRAP + ("other-board" in wrong),
        abilities=Ability.SIMULATED | Ability.LIMIT_SWITCHES | Ability.EMERGENCY_STOP,
        sensor_bits=SENSOR_BITS,
        rate_mhz=round(settings.rate_hz * 1000.0),
        steps_per_m=STEPS_PER_MM * 1000,
        travel_steps=TRAVEL_STEPS,
        max_speed_steps_s=MAX_SPEED_STEPS_S,
        force_range_mn=FORCE_RANGE_MN,
        counts_per_n=COUNTS_PER_N,
        name=NAME,
    )


def _status(machine: Machine, request: int, dropped: int, bad: int) -> Status:
    return Status(
        request=request,
        state=machine.state,
        t_us=machine.board_us,
        counts=machine.counts,
        steps=machine.stage.steps,
        flags=machine.flags,
        zero_counts=machine.watch.zero,
        boot_count=machine.boot_count % COUNTER_WRAP,
        dropped=dropped % COUNTER_WRAP,
        bad_frames=bad % COUNTER_WRAP,
    )


def _result(machine: Machine, command: Command) -> Result:
    if isinstance(command, Stop):
        if machine.stage.moving:
            machine.stage.stop()
        return Result.OK
    return _carry_out(machine, command) if machine.identified else Result.NOT_IDENTIFIED


def _carry_out(machine: Machine, command: Command) -> Result:
    match command:
        case ClearStop():
            return _clear(machine, command.reason)
        case Zero():
            return _zero(machine)
        case Stream():
            return _stream(machine, command.on)
        case Move() | Pull() | Home():
            return _set_off(machine, command)
        case _:
            return Result.UNKNOWN


def _stream(machine: Machine, on: int) -> Result:
    if on not in (0, 1):
        return Result.BAD_VALUE
    machine.stream(bool(on))
    return Result.OK


def _clear(machine: Machine, reason: int) -> Result:
    if reason != machine.reason:
        return Result.WRONG_REASON
    if reason == StopReason.EMERGENCY_STOP and machine.emergency_pressed:
        return Result.LATCHED
    machine.reason = StopReason.NONE
    return Result.OK


def _zero(machine: Machine) -> Result:
    if machine.stage.moving:
        return Result.BUSY
    if not machine.watch.ready:
        return Result.SENSOR_NOT_READY
    machine.watch.take_zero()
    machine.begin_test()
    return Result.OK


def _set_off(machine: Machine, command: Move | Pull | Home) -> Result:
    refusal = _refusal(machine, command)
    if refusal is not Result.OK:
        return refusal
    match command:
        case Move():
            machine.watch.start(command.force_limit_counts, 0)
            machine.set_off(BoardState.MOVING, command.target_steps, command.speed_msteps_s)
        case Pull():
            machine.watch.start(command.force_limit_counts, command.break_floor_counts)
            machine.set_off(BoardState.PULLING, command.target_steps, command.speed_msteps_s)
        case Home():
            machine.watch.start(None, 0)
            machine.set_off(BoardState.HOMING, machine.stage.steps - HOME_STEPS, command.speed_msteps_s)
    return Result.OK


def _refusal(machine: Machine, command: Move | Pull | Home) -> Result:
    """Why a motion is refused: the first reason that holds, in the order of the board's rules."""
    reasons = (
        (machine.stage.moving, Result.BUSY),
        (machine.reason in LATCHING, Result.LATCHED),
        (not _values_are_good(machine, command), Result.BAD_VALUE),
        (not machine.sensor_ready, Result.SENSOR_NOT_READY),
        (_way_is_blocked(machine, command), Result.AT_LIMIT),
    )
    return next((result for holds, result in reasons if holds), Result.OK)


def _values_are_good(machine: Machine, command: Move | Pull | Home) -> bool:
    if not 0 < command.speed_msteps_s <= MAX_SPEED_STEPS_S * 1000:
        return False
    if isinstance(command, Home):
        return True
    reachable = 0 <= command.target_steps <= TRAVEL_STEPS or not machine.stage.homed
    return reachable and command.force_limit_counts > 0


def _way_is_blocked(machine: Machine, command: Move | Pull | Home) -> bool:
    """Whether the switch in the direction of the motion is pressed; pressing the near one is what Home is for."""
    if isinstance(command, Home):
        return False
    way = command.target_steps - machine.stage.steps
    return way != 0 and machine.stage.blocked(way)
