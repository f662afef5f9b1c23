"""What must be told about a pull beside its numbers: the trace's own notes, and what the break looked like.

Owns the sentences of flags that belong to no single step. Must not know stress or strain.
"""

from __future__ import annotations

from analysis.pull.breakpoint import LEVEL_SAMPLES, BreakSearch
from analysis.pull.outcome import said_broken
from analysis.pull.screening import Signal
from analysis.results import Flag
from analysis.trace import Trace


def flags_of(trace: Trace, found: tuple[Flag, ...]) -> tuple[Flag, ...]:
    """The trace's own flags and those that the analysis found, in the order a person wants to read them."""
    notes = tuple(Flag(code, message) for code, message in trace.notes)
    told = {flag.code for flag in notes}
    own = (*found, *_file_flags(trace))
    return (*notes, *(Flag(flag.code, _sentence(flag.message)) for flag in own if flag.code not in told))


def _sentence(message: str) -> str:
    return f"{message[:1].upper()}{message[1:]}."


def _file_flags(trace: Trace) -> tuple[Flag, ...]:
    if trace.complete:
        return ()
    text = "the recording has no valid end: it was cut off or altered, and is read as far as it goes"
    return (Flag("incomplete", text),)


def break_flags(trace: Trace, loading: Signal, found: BreakSearch, outcome: str) -> tuple[Flag, ...]:
    """What must be told about the break and what went before it."""
    flags = []
    if outcome in ("broke", "clamp_break") and found.partial:
        text = "part of the load stayed after the break: several strands, or one that tore in steps"
        flags.append(Flag("partial_break", text))
    if found.teeth and outcome != "slipped":
        worst = max(tooth.loss for tooth in found.teeth)
        fell = f"before the end the force fell by up to {100 * worst:.0f} % and rose again"
        flags.append(Flag("load_drop", f"{fell}: the strand may have slipped a little"))
    after = len(loading) - (found.settled if found.settled is not None else len(loading))
    if outcome in ("broke", "clamp_break") and after < LEVEL_SAMPLES and found.after_level is None:
        text = "too few readings after the break: the zero of force could not be checked"
        flags.append(Flag("no_sample_after_break", text))
    if outcome == "no_break" and trace.counts is None and not said_broken(trace):
        text = "the data end while the strand still carries load: nothing shows whether it broke there"
        flags.append(Flag("no_sample_after_break", text))
    return tuple(flags)
