"""How the pull ended: broke, slipped, broke at the clamp, never broke, was stopped, or can't be used.

Owns the order in which these are asked. Must not know numbers of strain or force.
"""

from __future__ import annotations

from analysis.pull.breakpoint import SLIP_TEETH, BreakSearch
from analysis.trace import Trace

#: End reasons of a recording after which the strand was as far as the rig could take it.
RAN_OUT = frozenset({"", "done", "travel_limit", "limit_switch"})


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


def certain_end(found: BreakSearch, outcome: str, n: int) -> int:
    """Index of the last sample up to which the strand certainly stretched as the stage moved."""
    if outcome == "slipped":
        first_tooth = [tooth.top for tooth in found.teeth[:1] if len(found.teeth) >= SLIP_TEETH]
        slid = [] if found.slid_from is None else [found.slid_from]
        return min([*first_tooth, *slid])
    return found.top if found.top is not None else n - 1
