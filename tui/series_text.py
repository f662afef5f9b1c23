"""Series and comparisons as lines of text: one group a block, then the groups against each other."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.results import Measured, NotMeasured, Quantity
from analysis.series.compare import GroupComparison
from analysis.series.quantities import QuantityComparison
from analysis.series.summary import SeriesSummary
from tui.format import decimals, fixed, label_of, plain, quantity_text, unit_of, with_unit
from tui.output import say
from tui.result_text import LONGEST_SENTENCE
from tui.safe_text import clean
from tui.text_width import wrapped

#: Below this p, corrected for all comparisons made, a difference is called more than chance.
MORE_THAN_CHANCE_P = 0.05


def say_summary(summary: SeriesSummary) -> None:
    """One group: its verdict sentence, then its numbers."""
    say(wrapped(clean(summary.statement, LONGEST_SENTENCE)))
    rows: list[tuple[str, Quantity]] = [
        ("mean elongation at break", summary.mean_pct),
        ("scatter from strand to strand (sd)", summary.sd_pct),
        ("median elongation at break", summary.median_pct),
        ("9 of 10 strands exceed (95 % sure)", summary.tolerance_bound_pct),
    ]
    seen: set[str] = set()
    for label, quantity in rows:
        if isinstance(quantity, NotMeasured):
            if quantity.reason not in seen:
                say(wrapped(f"Not measured: {label}. Why: {clean(quantity.reason)}", indent=2, hang=2))
            seen.add(quantity.reason)
        else:
            say(f"  {label:36} {quantity_text('x_pct', quantity)}")
    if summary.smallest_pct is not None and summary.largest_pct is not None and summary.broke > 1:
        say(f"  {'smallest and largest':36} {summary.smallest_pct:.1f} % and {summary.largest_pct:.1f} %")
    if summary.share_interval is not None:
        low, high = 100 * summary.share_interval.low, 100 * summary.share_interval.high
        say(
            f"  {'share that reaches the guideline':36} between {low:.0f} % and {high:.0f} % of such strands (95 %)"
        )
    _say_rest(summary)


def _say_rest(summary: SeriesSummary) -> None:
    for name in summary.outliers:
        say(wrapped(f"! {clean(name)} stands apart from the others (Grubbs' test); it is kept", indent=2, hang=2))
    for left in summary.left_out:
        say(wrapped(f"! left out: {clean(left.name)} ({clean(left.reason)})", indent=2, hang=2))
    if summary.more_strands:
        say(f"  {summary.more_strands} more strands would bring the mean to about ±3 %.")


def say_comparisons(comparisons: Sequence[QuantityComparison]) -> None:
    """The groups against each other, pair by pair; a pair that can't be compared at all is one sentence."""
    pairs = list(dict.fromkeys((c.a, c.b) for c in comparisons))
    for pair in pairs:
        of_pair = [c for c in comparisons if (c.a, c.b) == pair]
        say()
        say(f"{clean(pair[0])} against {clean(pair[1])}:")
        for comparison in of_pair:
            if isinstance(comparison.found, GroupComparison):
                say(wrapped(_sentence(comparison, comparison.found, len(pairs)), indent=2, hang=2))
        _say_not_compared(of_pair)


def _say_not_compared(comparisons: Sequence[QuantityComparison]) -> None:
    """Each reason once, with what it keeps from being compared."""
    reasons: dict[str, list[str]] = {}
    for comparison in comparisons:
        if isinstance(comparison.found, NotMeasured):
            reasons.setdefault(comparison.found.reason, []).append(label_of(comparison.quantity))
    for reason, labels in reasons.items():
        say(wrapped(f"Not compared: {', '.join(labels)}. Why: {clean(reason)}.", indent=2, hang=2))


def _sentence(comparison: QuantityComparison, found: GroupComparison, pairs: int) -> str:
    label = label_of(comparison.quantity)
    p = found.p if found.p_corrected is None else found.p_corrected
    sure = "more than chance explains" if p < MORE_THAN_CHANCE_P else "chance could explain it"
    corrected = f", corrected for {pairs} pairs of groups" if pairs > 1 else ""
    how = f"p {p:.2g}, {found.test}{corrected}"
    if found.difference is None or found.interval is None:
        return f"{label}: {sure} ({how}; strands that did not break counted as such)."
    return f"{label}: {_difference(comparison, found)}; {sure} ({how})."


def _difference(comparison: QuantityComparison, found: GroupComparison) -> str:
    assert found.interval is not None
    assert found.difference is not None
    unit = unit_of(comparison.quantity)
    places = decimals((found.interval.high - found.interval.low) / 4 or 1.0)
    more = "more" if found.difference >= 0 else "less"
    low, high = sorted((found.interval.low, found.interval.high))
    span = f"95 % interval {_signed(low, places)} to {with_unit(_signed(high, places), unit)}"
    text = f"{with_unit(fixed(abs(found.difference), places), unit)} {more} ({span})"
    if isinstance(comparison.ratio, Measured):
        text += f", {plain(100 * comparison.ratio.value, '%', 3)} of the other group's"
    return text


def _signed(value: float, places: int) -> str:
    text = fixed(value, places)
    return text if text.startswith("-") else f"+{text}"
