"""The simulated board as a host meets it: bytes in, bytes out, and two clocks.

`SimulatedBoard` owns the line's side of the board: frames, repeats, the silence of the host (counted in wall time,
since the host's life is meant, however fast the board's own time goes), what is dropped when nobody reads, and
the faults of the line. What the board does is in `machine` and `commands`. Knows no port, reads no clock.
"""

from __future__ import annotations

from random import Random

from firmware_protocol.codec import UnknownMessage, decode, encode
from firmware_protocol.errors import FirmwareMistake
from firmware_protocol.frames import Frame, FrameDecoder, encode_frame
from firmware_protocol.messages import Ack, FromBoard, Heartbeat, Identify, Message, Query, Sample, Stop
from firmware_protocol.schema import TABLE, Direction
from firmware_protocol.vocabulary import HOST_SILENCE_MS, EventCode, Flag, Result, StopReason
from rig.simulated.commands import answer
from rig.simulated.fault_plan import NEVER_US
from rig.simulated.machine import Machine
from rig.simulated.settings import SimulationSettings
from rig.simulated.specimen import PullTruth

#: Bytes that wait for a host that does not read; a reading that finds them full is dropped.
LINE_BUFFER_BYTES = 32_768
#: Share of bytes that a noisy line alters.
LINE_NOISE = 0.005

#: Carried out again when repeated: it makes no difference, and a stop must never be taken for an old one.
REPEATABLE = frozenset(spec.id for spec in TABLE.values() if spec.cls in (Identify, Query, Stop))

#: Longest message id and payload to a board; a longer frame is as good as damaged.
LONGEST_BODY = max(1 + spec.size for spec in TABLE.values() if spec.direction is Direction.TO_BOARD)


class SimulatedBoard:
    """A board to talk to: `receive` what the host sent, `advance` the clocks, `take_output` what it answers."""

    def __init__(self, settings: SimulationSettings) -> None:
        self.settings = settings
        self.dropped = 0
        self.bad_frames = 0
        self._out = bytearray()
        self._decoder = FrameDecoder()
        self._line_rng = Random(f"{settings.seed}/line")
        self._telling_drop = False
        self._last: tuple[tuple[int, int, int], FromBoard] | None = None
        self._wall_us = 0
        self._heard_us = 0
        self.machine = Machine(settings, self._send)
        self.machine.tell(EventCode.BOOT)
        self.advance(0, 0)

    @property
    def unplugged(self) -> bool:
        """Whether the cable is out: nothing arrives and nothing leaves."""
        return "unplug" in self.machine.faults.active

    @property
    def truths(self) -> tuple[PullTruth, ...]:
        """What really happened to every strand so far, the one in the clamps last."""
        return (*self.machine.clamps.finished, self.machine.clamps.specimen.truth)

    def hang(self, mass_g: float) -> None:
        """Somebody hangs a weight on the hook, instead of what hung there."""
        self.machine.feel()
        self.machine.clamps.hook.hang(mass_g)
        self.machine.feel()

    def plug_in(self) -> None:
        """Put the cable back."""
        self.machine.faults.end("unplug")

    def receive(self, data: bytes) -> None:
        """Bytes from the host have arrived."""
        if self.unplugged:
            return
        if "line-noise" in self.machine.faults.active:
            data = self._damaged(data)
        for found in self._decoder.feed(data):
            if isinstance(found, Frame) and len(found.body) <= LONGEST_BODY:
                self._heard_us = self._wall_us
                self._take(found)
            else:
                self.bad_frames += 1

    def advance(self, device_us: int, wall_us: int) -> None:
        """Let both clocks go on, by so many microseconds each."""
        machine = self.machine
        end_us = machine.now_us + device_us
        silent_us = self._silent_from(device_us, wall_us)
        while True:
            due_us = machine.next_us()
            if machine.stage.moving and silent_us <= min(due_us, end_us):
                machine.glide(max(silent_us, machine.now_us))
                machine.end_motion(StopReason.HOST_SILENT)
                continue
            if due_us > end_us:
                break
            machine.glide(due_us)
            machine.happen()
        machine.glide(end_us)
        self._wall_us += wall_us

    def take_output(self) -> bytes:
        """What the board has sent since the last call."""
        data = bytes(self._out)
        self._out.clear()
        return data

    def _silent_from(self, device_us: int, wall_us: int) -> int:
        """Device time at which the host has been silent for too long, while both clocks go on by so much."""
        left_us = self._heard_us + HOST_SILENCE_MS * 1000 - self._wall_us
        if left_us <= 0:
            return self.machine.now_us
        return self.machine.now_us + -(-left_us * device_us // wall_us) if wall_us else NEVER_US

    def _take(self, frame: Frame) -> None:
        try:
            message = decode(frame)
        except FirmwareMistake:
            message = UnknownMessage(frame.id, frame.payload)
        if isinstance(message, Heartbeat):
            return
        request = frame.body[1] if len(frame.body) > 1 else 0
        key = (self.machine.boot_count, frame.id, request)
        if self._last is None or self._last[0] != key or frame.id in REPEATABLE:
            self._last = (key, self._answer(message, request))
        self._send(self._last[1])

    def _answer(self, message: Message | UnknownMessage, request: int) -> FromBoard:
        if isinstance(message, UnknownMessage | FromBoard | Heartbeat):
            return Ack(request, Result.UNKNOWN)
        return answer(self.machine, self.settings, message, self.dropped, self.bad_frames)

    def _send(self, message: FromBoard) -> None:
        active = self.machine.faults.active
        if "silence" in active or "unplug" in active:
            return
        if isinstance(message, Sample):
            if len(self._out) > LINE_BUFFER_BYTES:
                self.dropped += 1
                self._telling_drop = True
                return
            if self._telling_drop:
                self._telling_drop = False
                message = Sample(
                    message.seq, message.t_us, message.counts, message.steps, message.flags | Flag.READINGS_DROPPED
                )
        data = encode_frame(encode(message))
        self._out += self._damaged(data) if "line-noise" in active else data

    def _damaged(self, data: bytes) -> bytes:
        """Bytes as a noisy line delivers them: some with one wrong bit."""
        rng = self._line_rng
        return bytes(byte ^ 1 << rng.randrange(8) if rng.random() < LINE_NOISE else byte for byte in data)
