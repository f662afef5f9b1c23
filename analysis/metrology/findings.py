"""What a calibration has to say about itself: findings in sentences, each with how serious it is."""

from __future__ import annotations

import enum
from dataclasses import dataclass


class Severity(enum.Enum):
    """What a finding means for the use of the calibration."""

    NOTE = "note"
    WARN = "warning"
    REFUSE = "refused"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found: a short code, how serious it is, and a sentence that says what to do."""

    code: str
    severity: Severity
    sentence: str


def refused(findings: tuple[Finding, ...]) -> bool:
    """Whether any finding rules the calibration out."""
    return any(finding.severity is Severity.REFUSE for finding in findings)
