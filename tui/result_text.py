"""The result of one pull as lines of text: verdict in words, the quantities with their uncertainty, the flags."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from tui.curve_text import curve_lines
from tui.format import ABOUT_MARGIN, KINDS, OUTCOMES, label_of, plain, quantity_cells
from tui.output import paint, say
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    from analysis.results import PullResult, Quantity

#: Verdict class to sign, words and colour; sign and words say it without the colour.
VERDICTS = {
    "meets": ("✔", "Meets the guideline of {guideline}", "good"),
    "below": ("✘", "Below the guideline of {guideline}", "bad"),
    "too_close": ("≈", "Too close to call against the guideline of {guideline}", "unsure"),
    "no_verdict": ("–", "No verdict", "unsure"),
}

#: Longest statement or flag sentence kept.
LONGEST_SENTENCE = 600


def say_result(result: PullResult) -> None:
    """Print one result for a person."""
    say(paint(_headline(result), "strong", sys.stdout))
    say()
    _say_verdict(result)
    say()
    _say_part(result)
    _say_quantities(result)
    for flag in result.flags:
        say()
        say(wrapped(f"! {flag.code.replace('_', ' ')}: {clean(flag.message, LONGEST_SENTENCE)}", hang=2))


def say_curve(result: PullResult) -> None:
    """Print the curve, where there is one."""
    lines = curve_lines(result)
    for line in lines:
        say(line)
    if lines:
        say()


def _headline(result: PullResult) -> str:
    marks = ["simulated"] if result.simulated else []
    marks += [] if result.complete else ["incomplete"]
    return clean(result.recording) + (f" ({', '.join(marks)})" if marks else "")


def _say_verdict(result: PullResult) -> None:
    sign, words, colour = VERDICTS[result.verdict.verdict_class]
    words = words.format(guideline=plain(result.verdict.guideline_pct, "%", 3))
    say("  " + paint(f"{sign} {words}", colour, sys.stdout))
    say(wrapped(clean(result.verdict.statement, LONGEST_SENTENCE), indent=4))
    if result.outcome != "broke":
        reached = plain(result.elongation_reached_pct, "%", 3)
        say(f"    In short: {OUTCOMES[result.outcome]}; stretch reached {reached}.")


def _say_quantities(result: PullResult) -> None:
    """The results that every pull has."""
    say_table(result.quantities)


def _say_part(result: PullResult) -> None:
    """What the kind of pull shows besides, where it is not a pull to the break."""
    part = result.part
    if part is None:
        return
    say("  " + paint(KINDS.get(part.kind, part.kind).capitalize(), "strong", sys.stdout))
    say(wrapped(clean(part.statement, LONGEST_SENTENCE), indent=4))
    say()
    say_table(part.quantities)
    say()


def say_table(quantities: dict[str, Quantity]) -> None:
    """A table of what was measured, by name; below it why the rest was not."""
    cells = {name: quantity_cells(name, quantity) for name, quantity in quantities.items()}
    measured = {name: cell for name, cell in cells.items() if not cell[2]}
    if measured:
        wide = max(map(len, map(label_of, quantities)))
        say(f"  {'':{wide}}  {'value':>14}  {'±':>12}")
        for name, (value, margin, _) in measured.items():
            say(f"  {label_of(name):{wide}}  {value:>14}  {margin:>12}".rstrip())
        say(paint(wrapped(ABOUT_MARGIN), "quiet", sys.stdout))
    for sentence in not_measured(cells):
        say(wrapped(sentence, hang=2))


def not_measured(cells: dict[str, tuple[str, str, str]]) -> list[str]:
    """Each reason why something was not measured, once, after the names of what it holds for."""
    labels: dict[str, list[str]] = {}
    for name, (_, _, reason) in cells.items():
        if reason:
            labels.setdefault(reason, []).append(label_of(name))
    return [
        f"Not measured: {', '.join(names)}. Why: {clean(why, LONGEST_SENTENCE)}" for why, names in labels.items()
    ]
