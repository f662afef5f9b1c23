"""The findings of a health check as lines: for the command line and for the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.format import plain
from tui.safe_text import clean

if TYPE_CHECKING:
    from rig.findings import Finding

#: Grade to sign and colour; the sign and the word say it without the colour.
SIGNS = {"ok": ("✔", "good"), "look at it": ("≈", "unsure"), "bad": ("✘", "bad"), "not checked": ("–", "quiet")}
#: Longest sentence of a finding kept.
LONGEST_SENTENCE = 400


def headline(finding: Finding, wide: int) -> str:
    """One finding on one line: sign, name, figure, grade."""
    sign, _ = SIGNS[finding.grade.value]
    figure = "" if finding.value is None else plain(finding.value, finding.unit, 3)
    return f"{sign} {finding.name:{wide}}  {figure:>16}  {finding.grade.value}"


def what_to_do(finding: Finding) -> str:
    """What a finding means and what to do; "" where all is well."""
    if finding.grade.value == "ok":
        return ""
    return clean(f"{finding.meaning} {finding.advice}".strip(), LONGEST_SENTENCE)


def widest(found: tuple[Finding, ...]) -> int:
    """Columns that the names take."""
    return max(len(finding.name) for finding in found)
