"""What a health check found, judged: each figure with what a bad one means and what to do. Pure.

The bounds are common practice on small rigs, no source, except where a sentence says otherwise. They are shares
of the rig's own range, so that a larger cell is not judged by the noise of a small one.
"""

from __future__ import annotations

import enum
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from firmware_protocol.vocabulary import Flag
from rig.facts import RigFacts
from rig.force_zero import force_zero
from rig.inbox import LinkHealth

#: Fewer readings than this say nothing about a rig.
FEWEST_READINGS = 20
#: A pause between two readings longer than this many usual ones is a gap.
GAP_FACTOR = 3.5
#: A step check that is off by no more than this is within what a switch repeats [mm].
SWITCH_REPEATS_MM = 0.02


class Grade(enum.Enum):
    """How a finding is judged; the value is how a person reads it."""

    OK = "ok"
    NOTICE = "look at it"
    BAD = "bad"
    NOT_DONE = "not checked"


@dataclass(frozen=True, slots=True)
class Finding:
    """One figure of a health check; `value` None where it was not measured, and `meaning` says why."""

    name: str
    value: float | None
    unit: str
    grade: Grade
    meaning: str
    advice: str = ""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a health check has collected at rest: readings, round trips, clocks, the link's counters.

    `clock_pairs` are (host time [s], board time [us]) at the middle of a round trip, the first and the last.
    """

    facts: RigFacts
    t_us: tuple[int, ...]
    counts: tuple[int, ...]
    flags: tuple[int, ...]
    lost: int
    round_trips_s: tuple[float, ...]
    clock_pairs: tuple[tuple[float, int], ...]
    health: LinkHealth

    @property
    def span_s(self) -> float:
        """From the first reading to the last [s]."""
        return (self.t_us[-1] - self.t_us[0]) / 1e6

    @property
    def mn_per_count(self) -> float:
        """Nominal force of a count [mN]."""
        return 1000.0 / self.facts.counts_per_n


def graded(value: float, ok: float, notice: float) -> Grade:
    """OK up to one bound, worth a look up to the next, bad beyond."""
    if value <= ok:
        return Grade.OK
    return Grade.NOTICE if value <= notice else Grade.BAD


def findings_at_rest(evidence: Evidence) -> tuple[Finding, ...]:
    """Everything that can be said without moving."""
    if len(evidence.counts) < FEWEST_READINGS or evidence.span_s <= 0:
        return (_no_readings(evidence), round_trip(evidence))
    rules = (rate, noise, drift, variety, saturation, glitches, pauses, losses, damage, round_trip, skew, offset)
    return tuple(rule(evidence) for rule in rules)


def _no_readings(e: Evidence) -> Finding:
    n = float(len(e.counts))
    meaning = "The force amplifier delivers nothing, or nearly nothing."
    return Finding("readings", n, "", Grade.BAD, meaning, "Check the wiring of the load cell and its amplifier.")


def rate(e: Evidence) -> Finding:
    """Readings a second by the board's clock, against what it says of itself."""
    hz = (len(e.t_us) - 1 + e.lost) / e.span_s
    off = abs(hz / e.facts.rate_hz - 1.0)
    meaning = f"The board says {e.facts.rate_hz:g} readings a second; cheap amplifiers are up to a tenth off."
    advice = "Check which rate the amplifier is set to (a pin on most boards)."
    return Finding("rate", hz, "1/s", graded(off, 0.1, 0.25), meaning, advice)


def noise(e: Evidence) -> Finding:
    """Scatter of the readings at rest, without drift and single wild ones."""
    slope = _slope(e)
    flat = [round(c - slope * (t - e.t_us[0]) / 1e6) for t, c in zip(e.t_us, e.counts, strict=True)]
    sd_mn = force_zero(flat).sd_counts * e.mn_per_count
    share = sd_mn / (1000.0 * e.facts.force_range_n)
    meaning = "Scatter of the force with nothing pulling; it adds to every force in a result."
    advice = "Keep the cell's wires short and away from the motor's, and nobody leaning on the table."
    return Finding("noise", sd_mn, "mN", graded(share, 1.5e-4, 1e-3), meaning, advice)


def drift(e: Evidence) -> Finding:
    """How the force zero wanders."""
    mn_min = _slope(e) * 60.0 * e.mn_per_count
    share = abs(mn_min) / (1000.0 * e.facts.force_range_n)
    meaning = "How far the force zero wanders in a minute; a pull takes about that long."
    advice = "Let the rig warm up for a quarter of an hour, and keep draughts away."
    return Finding("drift", mn_min, "mN/min", graded(share, 1e-3, 5e-3), meaning, advice)


def variety(e: Evidence) -> Finding:
    """How many different readings there were."""
    n = len(set(e.counts))
    grade = Grade.BAD if n <= 2 else Grade.NOTICE if n < 8 else Grade.OK
    meaning = "A fine amplifier never reads the same twice for long; one that does is frozen or its input is open."
    return Finding(
        "different readings", float(n), "", grade, meaning, "Check the wires between cell and amplifier."
    )


def saturation(e: Evidence) -> Finding:
    """Readings at the end of the amplifier's range."""
    n = sum(1 for flags in e.flags if flags & Flag.SATURATED)
    meaning = "Readings at the end of the amplifier's range say nothing about the force."
    advice = "Take the load off the cell; if it stays, a wire is broken or two are swapped."
    return Finding("readings at the end of the range", float(n), "", Grade.BAD if n else Grade.OK, meaning, advice)


def glitches(e: Evidence) -> Finding:
    """Single wild readings."""
    n = force_zero(e.counts).left_out
    meaning = (
        "Single readings far from all others; the program passes over them, but two at once look like a break."
    )
    advice = "Put the amplifier next to the cell and give it a supply of its own."
    return Finding("wild readings", float(n), "", graded(n / len(e.counts), 0.0, 0.002), meaning, advice)


def pauses(e: Evidence) -> Finding:
    """Moments without a reading, by the board's own clock."""
    steps = [b - a for a, b in zip(e.t_us, e.t_us[1:], strict=False)]
    n = 0 if e.lost else sum(1 for step in steps if step > GAP_FACTOR * statistics.median(steps))
    meaning = "Pauses of the amplifier itself; a strand that breaks in one is measured late."
    advice = "Check the amplifier's supply: it restarts when the voltage dips."
    return Finding("pauses", float(n), "", graded(n, 0, 1), meaning, advice)


def losses(e: Evidence) -> Finding:
    """Readings that were sent and did not arrive."""
    share = e.lost / (len(e.counts) + e.lost)
    meaning = "Readings that the board sent and this computer did not get."
    advice = "Use a shorter cable and no hub, and close programs that keep this computer busy."
    return Finding("lost readings", float(e.lost), "", graded(share, 0.0, 0.005), meaning, advice)


def damage(e: Evidence) -> Finding:
    """Frames that arrived damaged."""
    meaning = "Messages that arrived damaged; none is ever taken for a reading."
    advice = "Use a shorter cable with a shield, away from the motor's wires."
    grade = graded(e.health.bad / max(1, len(e.counts)), 0.0, 0.005)
    return Finding("damaged messages", float(e.health.bad), "", grade, meaning, advice)


def round_trip(e: Evidence) -> Finding:
    """From a question to its answer."""
    name, meaning = "round trip", "From a question to its answer: how late a stop of this program comes at least."
    if not e.round_trips_s:
        return Finding(name, None, "ms", Grade.NOT_DONE, "The board answered no question.")
    ms = 1000.0 * statistics.median(e.round_trips_s)
    advice = "Set the latency timer of the USB adapter to 1 ms, or use another adapter."
    return Finding(name, ms, "ms", graded(ms, 25.0, 100.0), meaning, advice)


def skew(e: Evidence) -> Finding:
    """The board's clock against this computer's."""
    (host_a, board_a), (host_b, board_b) = e.clock_pairs[0], e.clock_pairs[-1]
    if host_b - host_a < 1.0:
        return Finding("clock", None, "ppm", Grade.NOT_DONE, "The check was too short to compare the clocks.")
    ppm = ((board_b - board_a) / 1e6 / (host_b - host_a) - 1.0) * 1e6
    meaning = "How fast the board's clock goes against this computer's; speeds are off by as much."
    advice = "A board with a crystal instead of a resonator keeps time a hundred times better."
    return Finding("clock", ppm, "ppm", graded(abs(ppm), 5000.0, 20_000.0), meaning, advice)


def offset(e: Evidence) -> Finding:
    """Where the amplifier stands with nothing pulling."""
    share = 100.0 * statistics.median(e.counts) / e.facts.full_scale_counts
    meaning = "Where the amplifier stands with nothing pulling; what is used up here is missing at the top."
    advice = "Unload the cell; if it stays, it was overloaded once, and must be calibrated again or replaced."
    return Finding("rest level", share, "% of range", graded(abs(share), 20.0, 50.0), meaning, advice)


def switch(name: str, fitted: bool, seen: bool, how: str) -> Finding:
    """A switch that a person or the stage was to press during the check."""
    if not fitted:
        meaning = f"The board says that it has no {name}."
        return Finding(name, None, "", Grade.NOTICE, meaning, "Fit one before a strand is mounted.")
    if seen:
        return Finding(name, 1.0, "", Grade.OK, f"The {name} was seen pressed.")
    return Finding(name, None, "", Grade.NOT_DONE, f"The {name} was not pressed during the check.", how)


def lost_steps(lost: float, mm: float, resolution_mm: float) -> Finding:
    """A there-and-back that did not end where it began."""
    meaning = "How far the stage was from its counter after a fast there-and-back."
    advice = "Lower the speed, free the stage, or give the motor more current within its rating."
    bound = max(SWITCH_REPEATS_MM, resolution_mm)
    return Finding("lost steps", lost, "step", graded(abs(mm), bound, 2 * bound), meaning, advice)


def _slope(e: Evidence) -> float:
    """Robust trend of the readings [count/s]: between the medians of the first and the last third."""
    third = len(e.counts) // 3
    rise = _median(e.counts[-third:]) - _median(e.counts[:third])
    return rise / ((_median(e.t_us[-third:]) - _median(e.t_us[:third])) / 1e6)


def _median(values: Sequence[int]) -> float:
    return float(statistics.median(values))
