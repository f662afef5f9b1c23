"""The verbs of a rig that move or measure, in millimetres and newtons: zero, jog, pull, hold, return, home, clear.

Identify and stop, and the life of the connection, are `connected_rig`'s. Knows how to ask the board, not what a
pull is for: recording and stop rules are `run`'s.
"""

from __future__ import annotations

from firmware_protocol.messages import ClearStop, Home, Move, Pull, Zero
from firmware_protocol.vocabulary import StopReason
from rig.connected_rig import POLL_S, ConnectedRig
from rig.errors import BadPlan, MotionFailed

#: Share of the load cell's range that no motion may exceed unless told less.
FORCE_SHARE = 0.95
#: Setting up is done with fingers near: no faster than this unless told so [mm/min].
SETTING_UP_MM_MIN = 120.0


class Stretcher(ConnectedRig):
    """A rig at the end of a link. Verbs come from one thread at a time; `send_stop` from any.

    A verb that moves takes `stops`, the number of stops sent when the caller last made sure that nobody wants
    one: where another was sent since, the motor does not start (Overtaken). All verbs raise RigError.
    """

    def zero(self) -> None:
        """Make the present force the zero of the board's own limits. The strand must hang slack."""
        self._ask(Zero(0))

    def start_pull(
        self,
        target_steps: int,
        speed_mm_min: float,
        force_limit_counts: int,
        break_floor_counts: int,
        stops: int | None = None,
    ) -> None:
        """Begin to stretch towards a position; the samples tell how it goes."""
        speed = self._speed(speed_mm_min)
        self._ask(Pull(0, target_steps, speed, force_limit_counts, break_floor_counts), stops)

    def start_move(
        self, target_steps: int, speed_mm_min: float, force_limit_counts: int, stops: int | None = None
    ) -> None:
        """Begin to move to a position, either way; the samples tell how it goes. No break is looked for."""
        speed = self._speed(speed_mm_min)
        self._ask(Move(0, target_steps, speed, force_limit_counts), stops)

    def jog(self, by_mm: float, speed_mm_min: float | None = None, stops: int | None = None) -> StopReason:
        """Move by a length, positive to stretch, and wait until it stands. Returns DONE, or COMMAND if stopped."""
        return self._move(self.status().steps + self.facts.steps(by_mm), speed_mm_min, "jog", stops)

    def return_to(
        self, position_steps: int, speed_mm_min: float | None = None, stops: int | None = None
    ) -> StopReason:
        """Move back to a position and wait until it stands. Returns DONE, or COMMAND if stopped."""
        return self._move(position_steps, speed_mm_min, "return", stops)

    def home(self, speed_mm_min: float | None = None, stops: int | None = None) -> StopReason:
        """Find the near limit switch and count from it. Returns DONE, or COMMAND if stopped."""
        self._ask(Home(0, self._speed(speed_mm_min)), stops)
        return self._until_standing("homing")

    def hold(self, duration_s: float) -> None:
        """Wait with the heart beating, whatever the motor does; samples go on coming."""
        end = self.clock.now_s() + duration_s
        while (left := end - self.clock.now_s()) > 0:
            self._pause(min(left, POLL_S))

    def clear(self) -> StopReason:
        """Clear the latched stop reason, so that the motor may run again; returns what it was."""
        self.status()
        reason = self.latched
        self._ask(ClearStop(0, int(reason)))
        return reason

    def _move(self, target_steps: int, speed_mm_min: float | None, motion: str, stops: int | None) -> StopReason:
        limit = round(FORCE_SHARE * self.facts.force_range_n * self.facts.counts_per_n)
        self._ask(Move(0, target_steps, self._speed(speed_mm_min), limit), stops)
        return self._until_standing(motion)

    def _until_standing(self, motion: str) -> StopReason:
        while self.status() and self.moving:
            self._pause(POLL_S)
        if self.latched in (StopReason.DONE, StopReason.COMMAND):
            return self.latched
        raise MotionFailed(motion, self.latched)

    def _speed(self, speed_mm_min: float | None) -> int:
        """A speed as the board wants it; without one, that of setting up."""
        highest = self.facts.max_speed_mm_min
        speed = min(SETTING_UP_MM_MIN, highest) if speed_mm_min is None else speed_mm_min
        if not 0 < speed <= highest:
            raise BadPlan(
                f"A speed of {speed:g} mm/min is not possible: this rig goes from just above 0 to {highest:g} "
                "mm/min."
            )
        return self.facts.msteps_s(speed)
