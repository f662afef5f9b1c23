"""A client's card as lines of text: its tests, its strands, its open points, and what comes before it all."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from tui import wording_card as words
from tui import wording_check
from tui.output import paint, say
from tui.text_width import wrapped

if TYPE_CHECKING:
    from tui.reports.page import Page, Result, TestRow


def say_page(page: Page) -> None:
    """Print a card for a person."""
    for name, text in page.facts:
        say(f"  {name:14} {text}")
    if page.simulated:
        say(f"  {wording_check.SIMULATED_MARK}")
    say()
    say(paint(page.headline, "bad" if page.stopped else "strong", sys.stdout))
    say()
    if page.result is not None:
        _say_result(page.result)
    for test in page.tests:
        _say_test(test)
    _say_points(words.HEAD_OPEN, page.points)
    _say_points(words.HEAD_CAUTIONS, page.cautions)
    say()
    say(wrapped(page.deference, 0))


def _say_result(result: Result) -> None:
    """The strength check: the set, its strands, how sure that is, what it does not tell."""
    say(f"{result.sign} {result.words}")
    for row in result.strands:
        say(f"  {row.sign} {row.number:>2}  {row.zone:15} {row.figure:>18}   {row.words}")
    _say_points(wording_check.HEAD_MEASURED, result.measured)
    _say_points(wording_check.HEAD_SURE, result.sure)
    _say_points(wording_check.HEAD_NOT_TOLD, result.not_told)
    say()


def _say_test(test: TestRow) -> None:
    told = ", ".join(filter(None, (test.state, test.outcome, test.when, test.who)))
    say(wrapped(f"{test.sign} {test.name}: {told}", 0, 2))
    for one in test.earlier:
        say(wrapped(words.TEST_EARLIER.format(earlier=one), 2, 2))


def _say_points(head: str, sentences: tuple[str, ...]) -> None:
    if not sentences:
        return
    say()
    say(head)
    for sentence in sentences:
        say(wrapped(f"• {sentence}", 2, 2))
