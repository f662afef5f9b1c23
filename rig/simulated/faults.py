"""The faults a simulated rig can be told to show: their names, when they come and how long they stay.

What a fault does is told here in one sentence and done by the part of the rig it befalls. This module knows
no board and no clock.
"""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass


class Since(enum.Enum):
    """What the time of a fault is counted from."""

    START = "start"
    PULL = "pull"


#: A fault that never ends by itself.
FOR_EVER = math.inf


@dataclass(frozen=True, slots=True)
class FaultKind:
    """A fault by name: what it does, and when it comes and goes where nobody said otherwise."""

    name: str
    doc: str
    at_s: float = 10.0
    since: Since = Since.PULL
    seconds: float = FOR_EVER


#: Ten seconds into a pull at 60 % a minute the strand is at 10 %: in its yield region, whatever strand it is.
KINDS: dict[str, FaultKind] = {
    kind.name: kind
    for kind in (
        FaultKind("glitch", "one reading at the end of the amplifier's range", seconds=0.0),
        FaultKind("gap", "the amplifier pauses, as after losing its supply for a moment", seconds=0.42),
        FaultKind("saturate", "the cell is preloaded so far that the amplifier ends at 0.25 N", 0.0, Since.START),
        FaultKind("freeze", "the amplifier repeats its last reading"),
        FaultKind("dead-sensor", "the amplifier delivers nothing any more"),
        FaultKind("noise", "the readings are twenty times as noisy"),
        FaultKind("drift", "the force zero wanders by 180 counts a second"),
        FaultKind("zero-step", "the force zero jumps by 30 mN and stays there", seconds=0.0),
        FaultKind("lag", "the amplifier answers about 0.1 s late", 0.0, Since.START),
        FaultKind("zero-under-tension", "strands are mounted under tension", 0.0, Since.START),
        FaultKind("slip", "the strand begins to slip in its clamp"),
        FaultKind("clamp-break", "the strand breaks at the clamp", 20.0, seconds=0.0),
        FaultKind("emergency-stop", "somebody presses the emergency stop, and releases it", seconds=2.0),
        FaultKind("limit-switch", "the far limit switch is pressed, as by a finger", seconds=2.0),
        FaultKind("lost-steps", "the motor loses 400 steps that the counter counts", seconds=0.0),
        FaultKind("reset", "the board starts anew", seconds=0.0),
        FaultKind("hang", "the board's main loop hangs, and the watchdog starts it anew", seconds=0.0),
        FaultKind("silence", "the board sends nothing any more"),
        FaultKind("unplug", "the cable is pulled out", seconds=FOR_EVER),
        FaultKind("line-noise", "one byte in two hundred arrives with a wrong bit", 0.0, Since.START),
        FaultKind("other-board", "another board answers than the one last seen", 0.0, Since.START),
        FaultKind("wrong-protocol", "the board speaks another version of the wire", 0.0, Since.START),
        FaultKind("wrong-table", "the board was built from another message table", 0.0, Since.START),
    )
}


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault that is to come: `at_s` device seconds after the start of the board or of each pull."""

    name: str
    at_s: float
    since: Since
    seconds: float

    def __str__(self) -> str:
        start = "start+" if self.since is Since.START else ""
        return f"{self.name}@{start}{self.at_s:g}"


def fault(name: str, at_s: float | None = None, since: Since | None = None, seconds: float | None = None) -> Fault:
    """The fault of that name, with its own times where none are given.

    Raises ValueError, with a sentence for a person, where there is no such fault or the time is none.
    """
    kind = KINDS.get(name)
    if kind is None:
        raise ValueError(f"there is no fault called {name!r}; choose from {', '.join(KINDS)}")
    at = kind.at_s if at_s is None else at_s
    lasts = kind.seconds if seconds is None else seconds
    if not math.isfinite(at) or at < 0 or not lasts >= 0:
        raise ValueError(f"the time of a fault is 0 s or more, not {at:g} s for {lasts:g} s")
    return Fault(name, at, kind.since if since is None else since, lasts)


def parse_fault(text: str) -> Fault:
    """A fault as typed: NAME, NAME@SECONDS into each pull, or NAME@start+SECONDS after the board started.

    Raises ValueError, with a sentence for a person.
    """
    name, _, when = text.strip().partition("@")
    if not when:
        return fault(name)
    since = Since.START if when.startswith("start") else Since.PULL
    try:
        at_s = float(when.removeprefix("start").removeprefix("+") or 0.0)
    except ValueError:
        raise ValueError(f"{text!r}: write a fault as NAME, NAME@SECONDS or NAME@start+SECONDS") from None
    return fault(name, at_s, since)
