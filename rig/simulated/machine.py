"""What the board does as its own time goes by: motion, readings, stops, faults. Knows no bytes and no wall time.

Time runs from event to event: the quanta of a motion, the readings of the amplifier, the faults that were ordered.
Nothing happens between them, so that the same commands at the same device times give the same messages, however
the time in between is cut up.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from firmware_protocol.messages import Event, FromBoard, Sample
from firmware_protocol.vocabulary import LATCHING, STOP_REASON_SHIFT, BoardState, EventCode, Flag, StopReason
from rig.simulated.amplifier import Amplifier, saturated
from rig.simulated.clamps import Clamps
from rig.simulated.fault_plan import NEVER_US, FaultPlan
from rig.simulated.force_watch import ForceWatch
from rig.simulated.mishaps import befall
from rig.simulated.settings import SimulationSettings
from rig.simulated.stage import QUANTUM_US, Stage

#: Without a reading for this long the sensor is at fault [us]; cheap amplifiers pause for 420 ms by themselves.
SENSOR_TIMEOUT_US = 600_000
#: Board time on the wire wraps here.
WRAP_US = 1 << 32
SEQ_WRAP = 1 << 16

STOP_EVENTS = {
    StopReason.DONE: EventCode.MOVE_DONE,
    StopReason.COMMAND: EventCode.STOPPED,
    StopReason.FORCE_LIMIT: EventCode.FORCE_LIMIT,
    StopReason.TRAVEL_LIMIT: EventCode.TRAVEL_LIMIT,
    StopReason.LIMIT_SWITCH: EventCode.LIMIT_SWITCH,
    StopReason.EMERGENCY_STOP: EventCode.EMERGENCY_STOP,
    StopReason.SENSOR_FAULT: EventCode.SENSOR_FAULT,
    StopReason.HOST_SILENT: EventCode.HOST_SILENT,
    StopReason.BREAK_SEEN: EventCode.BREAK_SEEN,
}


class Machine:
    """The board without its line. `send` gets every message that is not an answer."""

    def __init__(self, settings: SimulationSettings, send: Callable[[FromBoard], None]) -> None:
        self.now_us = 0
        self.stage = Stage()
        self.clamps = Clamps(settings, self.stage.position_mm)
        self.amplifier = Amplifier(settings.rate_hz, Random(f"{settings.seed}/amplifier"))
        self.watch = ForceWatch()
        self.faults = FaultPlan(settings.faults)
        self.boot_count = 1
        self.identified = False
        self.streaming = False
        self.reason = StopReason.NONE
        self.counts = 0
        self.emergency_pressed = False
        self._send = send
        self._mode = BoardState.IDLE
        self._seq = 0
        self._felt_us = 0
        self._started_us = 0
        self._read_us = 0
        self._sensor_fault = False
        self._settle()

    @property
    def state(self) -> BoardState:
        """What the board is doing."""
        if self.stage.moving:
            return BoardState.STOPPING if self.stage.stopping else self._mode
        return BoardState.LATCHED if self.reason in LATCHING else BoardState.IDLE

    @property
    def board_us(self) -> int:
        """The board's own time, which begins with each start, as it stands on the wire."""
        return (self.now_us - self._started_us) % WRAP_US

    @property
    def sensor_ready(self) -> bool:
        """Whether there are fresh readings, and enough of them."""
        return self.watch.ready and not self._sensor_fault

    @property
    def flags(self) -> int:
        """The flags word of samples and status."""
        stage = self.stage
        low = (
            stage.moving * Flag.MOVING
            | stage.homed * Flag.HOMED
            | stage.near_pressed * Flag.NEAR_LIMIT
            | stage.far_pressed * Flag.FAR_LIMIT
            | self.emergency_pressed * Flag.EMERGENCY_STOP
            | self._sensor_fault * Flag.SENSOR_FAULT
            | saturated(self.counts) * Flag.SATURATED
        )
        return int(low) | self.reason << STOP_REASON_SHIFT

    def next_us(self) -> int:
        """Device time at which something happens next."""
        now_us = self.now_us
        due = min(self.amplifier.due_us, self.faults.next_us, self._read_us + SENSOR_TIMEOUT_US)
        if self.stage.moving:
            quanta = self.stage.uneventful_quanta(self.clamps.break_mm)
            due = min(due, now_us - now_us % QUANTUM_US + quanta * QUANTUM_US)
        return max(due, now_us)

    def glide(self, to_us: int) -> None:
        """Let time pass up to the next event or a moment before it."""
        self.stage.advance(to_us - self.now_us)
        self.now_us = to_us

    def happen(self) -> None:
        """Let happen what is due now."""
        if self.faults.next_us <= self.now_us:
            for change in self.faults.take(self.now_us):
                befall(self, change.name, change.begins)
        if self.stage.moving:
            self._move()
        if self.amplifier.due_us <= self.now_us:
            self._read()
        elif self._read_us + SENSOR_TIMEOUT_US <= self.now_us:
            self._lose_sensor()

    def set_off(self, mode: BoardState, target_steps: int, speed_msteps_s: int) -> None:
        """Begin a motion."""
        self.feel()
        if mode is BoardState.PULLING:
            self.clamps.begin_test(self.stage.position_mm)
            self.faults.pull_begins(self.now_us)
        else:
            self.clamps.set_off(homing=mode is BoardState.HOMING)
        self.feel()
        self._mode = mode
        self.reason = StopReason.NONE
        self.stage.start(target_steps, speed_msteps_s)

    def begin_test(self) -> None:
        """The host has taken a zero: what is in the clamps is what will be pulled."""
        self.feel()
        self.clamps.begin_test(self.stage.position_mm)
        self.feel()

    def stream(self, on: bool) -> None:
        """Send readings, or no more; with that, a level may have been taken of what hangs on the hook."""
        if self.streaming and not on:
            self.feel()
            self.clamps.hook.readings_taken()
            self.feel()
        self.streaming = on

    def end_motion(self, reason: StopReason, code: EventCode | None = None) -> None:
        """Stand still at once, for a reason that is latched and told."""
        self.stage.halt()
        self.reason = reason
        self._settle()
        self.tell(code or STOP_EVENTS[reason])

    def press_emergency_stop(self, pressed: bool) -> None:
        """The switch is pressed or released; pressed, it cuts the motor's supply, and the position is lost."""
        self.emergency_pressed = pressed
        if pressed:
            self.stage.forget_home(keep_counter=True)
            if self.reason is not StopReason.EMERGENCY_STOP:
                self.end_motion(StopReason.EMERGENCY_STOP)

    def restart(self, reason: StopReason) -> None:
        """Start anew, as after a reset: all that was known is forgotten."""
        self.feel()
        self.stage.halt()
        self.stage.forget_home(keep_counter=False)
        self.watch = ForceWatch()
        self.identified = self.streaming = self._sensor_fault = False
        self.reason = reason
        self.counts = 0
        self.boot_count += 1
        self._started_us = self.now_us
        self._seq = 0
        self._read_us = self.now_us
        self._settle()
        self.tell(EventCode.BOOT)

    def tell(self, code: EventCode) -> None:
        """Send an event."""
        self._send(Event(code, self.board_us, self.counts, self.stage.steps))

    def feel(self) -> None:
        """Bring cell and strand up to this moment."""
        dt_us = self.now_us - self._felt_us
        self._felt_us = self.now_us
        self.amplifier.follow(self.clamps.hold(self.stage.position_mm, dt_us * 1e-6), dt_us)

    def _move(self) -> None:
        stage = self.stage
        if stage.position_mm >= self.clamps.break_mm:
            self._tear()
        if stage.at_switch:
            self._meet_switch()
        elif self.now_us % QUANTUM_US == 0 and not stage.plan():
            stopped = stage.stopping
            if self._mode is BoardState.HOMING and not stopped:
                self.end_motion(StopReason.TRAVEL_LIMIT)
            else:
                self.end_motion(StopReason.COMMAND if stopped else StopReason.DONE)

    def _meet_switch(self) -> None:
        if self._mode is BoardState.HOMING and self.stage.near_pressed:
            self.stage.halt()
            self.stage.set_home()
            self.end_motion(StopReason.DONE, EventCode.HOMED)
        else:
            self.end_motion(StopReason.LIMIT_SWITCH)

    def _tear(self) -> None:
        dt_us = self.now_us - self._felt_us
        self._felt_us = self.now_us
        before_n, after_n = self.clamps.specimen.tear(self.stage.position_mm, dt_us * 1e-6, self.now_us)
        self.amplifier.follow(before_n, dt_us)
        self.amplifier.follow(after_n, 0)

    def _read(self) -> None:
        self.feel()
        counts = self.amplifier.read()
        if counts is None:
            return
        self.counts = counts
        self._read_us = self.now_us
        self._sensor_fault = False
        if self.streaming:
            self._send(Sample(self._seq, self.board_us, counts, self.stage.steps, self.flags))
        self._seq = (self._seq + 1) % SEQ_WRAP
        reason = self.watch.take(counts)
        if reason is not None and self.stage.moving:
            self.end_motion(reason)

    def _lose_sensor(self) -> None:
        self._sensor_fault = True
        self._read_us = NEVER_US
        if self.stage.moving:
            self.end_motion(StopReason.SENSOR_FAULT)

    def _settle(self) -> None:
        """The stage has come to rest: this is when a person would mount the next strand."""
        if self._mode is not BoardState.PULLING:
            self.feel()
            self.clamps.come_to_rest(self.stage.position_mm)
            self.feel()
