"""A host's desk for tests: a simulated board in lockstep, what was sent to it, and what it sent, decoded."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeVar

from firmware_protocol.codec import UnknownMessage, decode, encode
from firmware_protocol.frames import Frame, FrameDecoder, encode_frame
from firmware_protocol.messages import (
    Ack,
    ClearStop,
    Event,
    Heartbeat,
    Identify,
    Message,
    Pull,
    Query,
    Sample,
    Status,
    Stream,
    Zero,
)
from firmware_protocol.vocabulary import PROTOCOL_VERSION, EventCode, Result, StopReason, stop_reason
from rig.simulated.amplifier import COUNTS_PER_N
from rig.simulated.board import SimulatedBoard
from rig.simulated.faults import parse_fault
from rig.simulated.settings import SimulationSettings

HEARTBEAT = encode_frame(encode(Heartbeat()))
#: 60 % of 30 mm a minute at 800 steps/mm.
PULL_SPEED_MSTEPS_S = 240_000
FORCE_LIMIT = round(1.9 * COUNTS_PER_N)
FLOOR = round(0.03 * COUNTS_PER_N)

#: A command is sent so often at most.
REPEATS = 20

M = TypeVar("M")


class Desk:
    """Sends commands, lets time pass in small steps with a heartbeat in each, and keeps everything that came."""

    def __init__(
        self, strand: str = "virgin", *, faults: tuple[str, ...] = (), step_us: int = 20_000, **more: Any
    ) -> None:
        self.board = SimulatedBoard(
            SimulationSettings(strand=strand, faults=tuple(parse_fault(text) for text in faults), **more)
        )
        self.step_us = step_us
        self.came: list[Message | UnknownMessage] = []
        self.raw = b""
        self.bad = 0
        self._decoder = FrameDecoder()
        self._request = 0

    def send(self, command: Any) -> int:
        """Send a command under a request id of its own, which is returned."""
        self._request = self._request % 255 + 1
        self._transmit(replace(command, request=self._request))
        return self._request

    def ask(self, command: Any) -> Any:
        """Send a command, again where the line swallowed it or its answer; the answer."""
        before = len(self.came)
        request = self.send(command)
        for _ in range(REPEATS):
            for message in self.came[before:]:
                if getattr(message, "request", None) == request:
                    return message
            self._transmit(replace(command, request=request))
        raise AssertionError(f"no answer to {command}")

    def result(self, command: Any) -> Result:
        """Send a command that is answered by Ack; what it says."""
        reply = self.ask(command)
        assert isinstance(reply, Ack)
        return Result(reply.result)

    def status(self) -> Status:
        reply = self.ask(Query(0))
        assert isinstance(reply, Status)
        return reply

    def wait(self, seconds: float, *, heartbeat: bool = True, scale: float = 1.0) -> None:
        """Let device time pass; wall time passes `scale` times slower."""
        left = round(seconds * 1e6)
        while left > 0:
            step = min(self.step_us, left)
            if heartbeat:
                self.board.receive(HEARTBEAT)
            self.board.advance(step, round(step / scale))
            self.collect()
            left -= step

    def wait_to_stand(self, at_most_s: float = 120.0) -> None:
        """Let time pass until the motor stands."""
        while self.board.machine.stage.moving:
            self.wait(0.1)
            at_most_s -= 0.1
            assert at_most_s > 0, "the motor never stopped"

    def identify(self) -> None:
        """Say hello, and let the amplifier settle."""
        self.ask(Identify(0, PROTOCOL_VERSION))
        self.wait(0.3)

    def prepare(self) -> None:
        """Everything up to a pull: identified, streaming, zeroed."""
        self.identify()
        assert self.result(Stream(0, 1)) is Result.OK
        assert self.result(Zero(0)) is Result.OK
        self.wait(0.2)

    def pull(self, *, mm: float = 40.0, floor: int = FLOOR, limit: int = FORCE_LIMIT) -> Result:
        """Begin a pull over so many millimetres."""
        target = self.board.machine.stage.steps + round(mm * 800)
        return self.result(Pull(0, target, PULL_SPEED_MSTEPS_S, limit, floor))

    def clear(self, reason: StopReason) -> Result:
        return self.result(ClearStop(0, reason))

    def of(self, kind: type[M]) -> list[M]:
        """All messages of a kind so far."""
        return [m for m in self.came if isinstance(m, kind)]

    def events(self) -> list[EventCode]:
        return [EventCode(event.code) for event in self.of(Event)]

    def samples(self) -> list[Sample]:
        return self.of(Sample)

    def reason(self) -> StopReason:
        return stop_reason(self.status().flags)

    def force_n(self, sample: Sample) -> float:
        """The force of a sample from the board's zero [N]."""
        return (sample.counts - self.board.machine.watch.zero) / COUNTS_PER_N

    def _transmit(self, command: Any) -> None:
        self.board.receive(encode_frame(encode(command)))
        self.collect()

    def collect(self) -> None:
        """Take what the board has sent."""
        data = self.board.take_output()
        self.raw += data
        for found in self._decoder.feed(data):
            if isinstance(found, Frame):
                self.came.append(decode(found))
            else:
                self.bad += 1


def broken_pull(strand: str = "virgin", **more: Any) -> Desk:
    """A desk at which a strand has been pulled until the motor stopped by itself, and a moment longer."""
    desk = Desk(strand, **more)
    desk.prepare()
    assert desk.pull() is Result.OK
    desk.wait_to_stand()
    desk.wait(0.5)
    return desk
