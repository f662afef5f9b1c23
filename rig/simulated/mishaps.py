"""What each fault does to the board it befalls.

Faults of the line and of the identity do nothing here: whoever sends or answers looks up whether they are going on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from firmware_protocol.vocabulary import StopReason

if TYPE_CHECKING:
    from rig.simulated.machine import Machine

#: Steps that the motor loses at once: half a millimetre.
LOST_STEPS = 400


def befall(machine: Machine, name: str, begins: bool) -> None:
    """Let a fault begin or end."""
    machine.feel()
    if name in _WHILE:
        _befall_while(machine, name, begins)
    elif begins:
        _befall_once(machine, name)
    machine.feel()


_WHILE = frozenset({"freeze", "dead-sensor", "noise", "drift", "lag", "emergency-stop", "limit-switch"})


def _befall_while(machine: Machine, name: str, begins: bool) -> None:
    """Faults that begin and end."""
    amplifier = machine.amplifier
    match name:
        case "freeze":
            amplifier.frozen = begins
        case "dead-sensor":
            amplifier.dead = begins
        case "noise":
            amplifier.noisy = begins
        case "drift":
            amplifier.drifting = begins
        case "lag":
            amplifier.lag(begins)
        case "emergency-stop":
            machine.press_emergency_stop(begins)
        case "limit-switch":
            machine.stage.far_pressed_by_hand = begins


def _befall_once(machine: Machine, name: str) -> None:
    """Faults that happen in a moment."""
    match name:
        case "glitch":
            machine.amplifier.glitch = True
        case "gap":
            machine.amplifier.pause(machine.faults.seconds(name))
        case "saturate":
            machine.amplifier.preload()
        case "zero-step":
            machine.amplifier.step_zero()
        case "slip":
            machine.clamps.specimen.slacken_grip()
        case "clamp-break":
            machine.clamps.specimen.tear_at_clamp(machine.now_us)
        case "lost-steps":
            machine.stage.lose_steps(LOST_STEPS)
        case "reset":
            machine.restart(_after_restart(machine, StopReason.RESET))
        case "hang":
            machine.restart(_after_restart(machine, StopReason.MAIN_LOOP_HUNG))


def _after_restart(machine: Machine, cause: StopReason) -> StopReason:
    """What is latched after a restart: its cause if the motor ran, or that of an earlier one not cleared yet."""
    if machine.stage.moving:
        return cause
    kept = machine.reason in (StopReason.RESET, StopReason.MAIN_LOOP_HUNG)
    return machine.reason if kept else StopReason.NONE
