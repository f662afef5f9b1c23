"""The stage: a step motor with a lead screw between two limit switches, its counter, and a trapezoid of speed.

Time goes in quanta of one millisecond: the speed changes once a quantum, by a thousandth of the acceleration, and
all arithmetic is in whole numbers, so that a motion is the same however time is cut up. Speeds are in
thousandths of a step per second and phases in millionths of a step, so that a quantum at speed v is v
millionths of a step. The same law, number for number, as the board's firmware keeps. Knows no reason to move.
"""

from __future__ import annotations

QUANTUM_US = 1000
STEP = 1_000_000
STEPS_PER_MM = 800
#: Usable travel, from the near switch [step]: 60 mm.
TRAVEL_STEPS = 60 * STEPS_PER_MM
#: The far switch stands 1 mm beyond the usable travel.
FAR_SWITCH_STEPS = TRAVEL_STEPS + STEPS_PER_MM
#: 10 mm/s; a speed that the motor starts and stops at within a step.
MAX_SPEED_STEPS_S = 8000
ACCELERATION_STEPS_S2 = 8000
#: Speed of the last steps before a target.
CRAWL_STEPS_S = 100
#: Where the stage stands when a simulated rig is switched on, from the near switch [step]: 5 mm.
START_STEPS = 5 * STEPS_PER_MM

_SPEED_CHANGE = ACCELERATION_STEPS_S2
_CRAWL = CRAWL_STEPS_S * 1000


class Stage:
    """Position, counter and motion. `advance` lets time pass; `plan` begins each quantum of a motion."""

    def __init__(self) -> None:
        self.moving = False
        self.stopping = False
        self.homed = False
        self.far_pressed_by_hand = False
        self._place = START_STEPS
        self._counter_zero = START_STEPS
        self._target = 0
        self._direction = 1
        self._top = 0
        self._speed = 0
        self._phase = 0
        self._since_plan_us = 0
        self._begun = START_STEPS

    @property
    def steps(self) -> int:
        """The step counter: what the board knows of the position."""
        return self._place - self._counter_zero

    @property
    def position_mm(self) -> float:
        """Where the clamp really is, from the near switch: between two steps the motor turns on smoothly."""
        if not self.moving:
            return self._place / STEPS_PER_MM
        run = min(self._phase + self._speed * self._since_plan_us // QUANTUM_US, self._left_at_plan * STEP)
        return (self._begun + self._direction * run / STEP) / STEPS_PER_MM

    @property
    def near_pressed(self) -> bool:
        """Whether the near limit switch is pressed."""
        return self._place <= 0

    @property
    def far_pressed(self) -> bool:
        """Whether the far limit switch is pressed."""
        return self.far_pressed_by_hand or self._place >= FAR_SWITCH_STEPS

    @property
    def at_switch(self) -> bool:
        """Whether the switch in the direction of motion is pressed."""
        return self.far_pressed if self._direction > 0 else self._place <= 0

    def blocked(self, direction: int) -> bool:
        """Whether the switch in that direction is pressed."""
        return self.far_pressed if direction > 0 else self.near_pressed

    def start(self, target_steps: int, speed_msteps_s: int) -> None:
        """Begin a motion to a position of the counter; the first quantum is planned by `plan`."""
        self.moving = True
        self.stopping = False
        self._target = target_steps + self._counter_zero
        self._direction = 1 if self._target >= self._place else -1
        self._top = speed_msteps_s
        self._speed = self._phase = self._since_plan_us = 0
        self._begun = self._place
        self._left_at_plan = abs(self._target - self._place)

    def stop(self) -> None:
        """Slow down; the motion ends when the motor stands."""
        self.stopping = True

    def halt(self) -> None:
        """Stand still at once."""
        self.moving = self.stopping = False
        self._speed = 0

    def advance(self, dt_us: int) -> None:
        """Let time pass within the quanta that were planned: make the steps that fall into it, up to a switch."""
        if not self.moving:
            return
        self._since_plan_us += dt_us
        made = min((self._phase + self._speed * self._since_plan_us // QUANTUM_US) // STEP, self._left_at_plan)
        self._place = self._begun + self._direction * made
        if self.at_switch:
            self._place = min(max(self._place, 0), FAR_SWITCH_STEPS)

    def uneventful_quanta(self, break_mm: float) -> int:
        """So many quanta, this one included, hold nothing but going on at the same speed.

        Ahead are the slowing down, the switch, and a break of the strand at `break_mm`.
        """
        if self.stopping or self._speed != self._top:
            return 1
        room: float = abs(self._target - self._place) - self._braking // 1000
        if self._direction > 0:
            room = min(room, FAR_SWITCH_STEPS - self._place, break_mm * STEPS_PER_MM - self._place)
        else:
            room = min(room, self._place)
        return max(1, int((room - 2) * STEP / self._speed) - 1)

    def plan(self) -> bool:
        """Begin the next quantum; False where there is none: at the target, or slowed down to a stand."""
        self._phase = (self._phase + self._speed * self._since_plan_us // QUANTUM_US) % STEP
        self._since_plan_us = 0
        self._begun = self._place
        self._left_at_plan = abs(self._target - self._place)
        self._speed = self._next_speed(self._left_at_plan) if self._left_at_plan else 0
        return self._speed > 0

    def set_home(self) -> None:
        """Make this place the zero of the counter."""
        self._counter_zero = self._place
        self.homed = True

    def forget_home(self, keep_counter: bool) -> None:
        """The position is no longer known; after a start of the board the counter begins at zero."""
        self.homed = False
        if not keep_counter:
            self._counter_zero = self._place

    def lose_steps(self, steps: int) -> None:
        """The counter counts steps that the motor did not make."""
        self._place -= steps
        self._begun -= steps
        self._counter_zero -= steps
        self._target -= steps

    @property
    def _braking(self) -> int:
        """Distance needed to stand [0.001 step]."""
        return self._speed // 1000 * (self._speed // _SPEED_CHANGE + 2) // 2

    def _next_speed(self, left: int) -> int:
        if self.stopping:
            return self._slower(0) if self._speed > _CRAWL else 0
        if left * 1000 - self._phase // 1000 <= self._braking:
            return self._slower(_CRAWL)
        return min(self._speed + _SPEED_CHANGE, self._top)

    def _slower(self, least: int) -> int:
        return self._speed if self._speed <= least else max(self._speed - _SPEED_CHANGE, least)
