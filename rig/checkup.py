"""A health check of a connected rig in about ten seconds: at rest first, then, if allowed, a there-and-back.

Owns the procedure; figures are judged in `findings`. With nothing in the clamps. While it listens, the person
may press the emergency stop and the limit switches, to see them noticed; then nothing is moved.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from firmware_protocol.vocabulary import Flag, StopReason
from rig.errors import MotionFailed, NoAnswer, Overtaken, Refused
from rig.findings import Evidence, Finding, Grade, findings_at_rest, lost_steps, switch
from rig.preparation import clear_latched
from rig.samples import SampleBatch
from rig.stretcher import Stretcher

#: How long readings are listened to [s].
LISTEN_S = 6.0
#: Questions asked before and after, to time their answers and compare the clocks.
QUESTIONS = 10
#: The fast there-and-back [mm], where it ends before the slow approach to the switch [mm], and that one's speed.
THERE_MM = 5.0
BACK_TO_MM = 1.0
APPROACH_MM_MIN = 30.0

Progress = Callable[[str], None]


@dataclass(slots=True)
class _Listened:
    """Batches collected so far."""

    batches: list[SampleBatch]
    flags_seen: int = 0

    def add(self, batches: tuple[SampleBatch, ...]) -> None:
        self.batches.extend(batches)
        for batch in batches:
            for flags in batch.flags:
                self.flags_seen |= flags & 0xFF


def run_checkup(
    stretcher: Stretcher, *, move: bool, progress: Progress = lambda text: None, listen_s: float = LISTEN_S
) -> tuple[Finding, ...]:
    """Check a rig with nothing in its clamps. `move` allows the stage to move, by 5 mm from the near switch.

    Raises the cause where the link ends, or NoAnswer where the board falls silent.
    """
    progress("Listening. Press the emergency stop and the limit switches now, if you want them checked.")
    heard = _Listened([])
    evidence = _at_rest(stretcher, heard, listen_s)
    found = [*findings_at_rest(evidence)]
    moved = _there_and_back(stretcher, heard, progress) if move else _not_moved("Moving was not allowed.")
    facts = stretcher.facts
    near, far = heard.flags_seen & Flag.NEAR_LIMIT, heard.flags_seen & Flag.FAR_LIMIT
    stop = heard.flags_seen & Flag.EMERGENCY_STOP
    by_hand = "Press it by hand while the check listens."
    supply = " It must also cut the motor's supply."
    return (
        *found,
        moved,
        switch("near limit switch", facts.has_limit_switches, bool(near), by_hand),
        switch("far limit switch", facts.has_limit_switches, bool(far), by_hand),
        switch(
            "emergency stop",
            facts.has_emergency_stop,
            bool(stop),
            by_hand + supply,
        ),
    )


def _at_rest(stretcher: Stretcher, heard: _Listened, listen_s: float) -> Evidence:
    trips_before, pair_before = _questions(stretcher)
    stretcher.stream(True)
    clock = stretcher.clock
    end_s = clock.now_s() + listen_s
    while clock.now_s() < end_s:
        heard.add(stretcher.take(0.1))
        if stretcher.link_cause:
            raise stretcher.link_cause
    stretcher.stream(False)
    trips_after, pair_after = _questions(stretcher)
    return Evidence(
        facts=stretcher.facts,
        t_us=tuple(t for batch in heard.batches for t in batch.t_us),
        counts=tuple(c for batch in heard.batches for c in batch.counts),
        flags=tuple(f for batch in heard.batches for f in batch.flags),
        lost=sum(batch.lost for batch in heard.batches),
        round_trips_s=trips_before + trips_after,
        clock_pairs=(pair_before, pair_after),
        health=stretcher.health,
    )


def _questions(stretcher: Stretcher) -> tuple[tuple[float, ...], tuple[float, int]]:
    """How long answers take, and the two clocks side by side, from the quickest answer."""
    trips: list[tuple[float, float, int]] = []
    for _ in range(QUESTIONS):
        asked_s = stretcher.clock.now_s()
        status = stretcher.status()
        took_s = stretcher.clock.now_s() - asked_s
        trips.append((took_s, asked_s + took_s / 2.0, status.t_us))
    _, middle_s, board_us = min(trips)
    return tuple(took for took, _, _ in trips), (middle_s, board_us)


def _there_and_back(stretcher: Stretcher, heard: _Listened, progress: Progress) -> Finding:
    """Home, go out and back fast, then approach the switch slowly: it must come where the counter says 0."""
    why_not = _why_not_to_move(stretcher)
    if why_not:
        return _not_moved(why_not)
    progress("Moving: keep fingers away.")
    try:
        return _move(stretcher, heard)
    except (MotionFailed, Refused, Overtaken) as problem:
        met_early = isinstance(problem, MotionFailed) and problem.reason is StopReason.LIMIT_SWITCH
        if met_early and stretcher.flags & Flag.NEAR_LIMIT:
            return _compared(stretcher, stretcher.status().steps)
        return Finding("lost steps", None, "step", Grade.BAD, str(problem), "Free the stage, then check again.")


def _why_not_to_move(stretcher: Stretcher) -> str:
    if not stretcher.facts.has_limit_switches:
        return "Without limit switches the stage has nothing to be compared with."
    try:
        clear_latched(stretcher, everything=False)
    except Refused as refused:
        return str(refused)
    return ""


def _move(stretcher: Stretcher, heard: _Listened) -> Finding:
    facts = stretcher.facts
    motions: tuple[Callable[[], StopReason], ...] = (
        stretcher.home,
        lambda: stretcher.return_to(facts.steps(THERE_MM), facts.max_speed_mm_min),
        lambda: stretcher.return_to(facts.steps(BACK_TO_MM), facts.max_speed_mm_min),
    )
    for motion in motions:
        if motion() is not StopReason.DONE:
            return _not_moved("It was stopped by the person.")
    return _approach(stretcher, heard)


def _approach(stretcher: Stretcher, heard: _Listened) -> Finding:
    stretcher.stream(True)
    stretcher.home(APPROACH_MM_MIN)
    batches = stretcher.take(0.1)
    stretcher.stream(False)
    heard.add(batches)
    heard.flags_seen |= stretcher.flags & 0xFF
    moving = [
        steps
        for batch in batches
        for steps, flags in zip(batch.steps, batch.flags, strict=True)
        if flags & Flag.MOVING
    ]
    if not moving:
        raise NoAnswer("Stream")
    return _compared(stretcher, moving[-1])


def _compared(stretcher: Stretcher, steps: int) -> Finding:
    """What the counter says where the switch was met, and where it should say 0."""
    facts = stretcher.facts
    return lost_steps(float(steps), facts.mm(steps), APPROACH_MM_MIN / 60.0 / facts.rate_hz)


def _not_moved(why: str) -> Finding:
    return Finding(
        "lost steps", None, "step", Grade.NOT_DONE, why, "Allow the stage to move, with nothing mounted."
    )
