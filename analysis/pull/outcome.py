"""How the pull ended: broke, slipped, broke at the clamp, never broke, was stopped, or can't be used.

Owns the order in which these are asked. Must not know numbers of strain or force.
"""

from __future__ import annotations

from analysis.pull.breakpoint import BreakSearch
from analysis.pull.corrections import Corrected
from analysis.pull.elastic import Elastic
from analysis.pull.slips import SLIP_TEETH
from analysis.trace import Trace

#: End reasons of a recording after which the strand was as far as the rig could take it.
RAN_OUT = frozenset({"", "done", "travel_limit", "limit_switch"})
#: A plateau flatter than this share of the first slope, and longer than so many times the way to it, is no yield
#: region: keratin's is a hundredth to a fiftieth as steep as its elastic part (Feughelman's curves; from memory).
FLAT_SLOPE = 0.003
FLAT_LENGTHS = 3.0


def decide(trace: Trace, found: BreakSearch, spoilt: str) -> str:
    """The outcome of a pull, by the first of these that holds."""
    if spoilt:
        return "bad_test"
    if any(mark.kind == "clamp_break" for mark in trace.marks):
        return "clamp_break"
    if len(found.teeth) >= SLIP_TEETH or found.slid_from is not None:
        return "slipped"
    if found.top is not None or said_broken(trace):
        return "broke"
    return "no_break" if trace.end_reason in RAN_OUT and trace.complete else "stopped"


def said_broken(trace: Trace) -> bool:
    """Whether the rig itself saw the strand break."""
    return trace.end_reason == "break" or any(mark.kind == "break_seen" for mark in trace.marks)


def flat_since(elastic: Elastic, curve: Corrected) -> int | None:
    """First sample of a plateau too flat and too long for a strand's yield region: a clamp that lets it slide."""
    first, second = elastic.first.line, elastic.second
    if second is None or elastic.third is not None:
        return None
    bend = elastic.bends_mm[0]
    steep = second.line.slope + 2.0 * second.u_slope
    long = curve.end_mm - bend >= FLAT_LENGTHS * (bend - elastic.onset_mm)
    return int(curve.x.searchsorted(bend)) if long and steep < FLAT_SLOPE * first.slope else None


def certain_end(found: BreakSearch, outcome: str, n: int) -> int:
    """Index of the last sample up to which the strand certainly stretched as the stage moved."""
    if outcome == "slipped":
        first_tooth = [tooth.top for tooth in found.teeth[:1] if len(found.teeth) >= SLIP_TEETH]
        slid = [] if found.slid_from is None else [found.slid_from]
        return min([*first_tooth, *slid])
    return found.top if found.top is not None else n - 1
