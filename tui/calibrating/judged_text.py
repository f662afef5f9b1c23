"""What all kinds of calibration say: what was found, how serious it is, and where the calibration is now."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.metrology.findings import Finding, Severity
from tui.failure import LONGEST_SENTENCE
from tui.output import complain, paint, say
from tui.safe_text import clean
from tui.text_width import wrapped

if TYPE_CHECKING:
    from recordings.format import ExtensionCalibration, ForceCalibration

#: Severity of a finding to the colour of its word.
COLOURS = {Severity.NOTE: "quiet", Severity.WARN: "unsure", Severity.REFUSE: "bad"}


def say_findings(findings: tuple[Finding, ...]) -> None:
    """Each finding with how serious it is."""
    for finding in findings:
        word = paint(finding.severity.value, COLOURS[finding.severity], sys.stdout)
        say(wrapped(f"! {word}: {clean(finding.sentence, LONGEST_SENTENCE)}", hang=2))
    if findings:
        say()


def say_kept(path: Path | None, calibration: ForceCalibration | ExtensionCalibration) -> None:
    """Where a calibration is now, and until when it holds."""
    say(f"  Kept in {clean(str(path), LONGEST_SENTENCE)}")
    say(f"  as {calibration.identifier}, due again on {calibration.due}.")


def json_finding(finding: Finding) -> dict[str, str]:
    """A finding as JSON prints it."""
    return {"code": finding.code, "severity": finding.severity.value, "message": finding.sentence}


def complain_of(findings: tuple[Finding, ...]) -> None:
    """Say on stderr why a calibration was refused."""
    why = next(f.sentence for f in findings if f.severity is Severity.REFUSE)
    complain(f"The calibration was refused and nothing was kept: {why.rstrip('.')}.")
