"""The page as JSON: units in the names, a quantity as value and standard uncertainty or why there is none."""

from __future__ import annotations

import json
from datetime import datetime
from typing import TYPE_CHECKING, Any

from tui.check.rules import RULES
from tui.check.standing import TestState, standing
from tui.reports.page import Page

if TYPE_CHECKING:
    from tui.check.card import Card
    from tui.check.judged import Judged, StrandLine

#: Name and version of the form, for whoever reads it years later.
FORMAT = {"name": "strandbench-card", "version": 1}


def page_json(card: Card, judged: Judged | None, page: Page, now: datetime) -> dict[str, Any]:
    """Everything on the page as plain values."""
    return {
        "format": FORMAT,
        "made": _time(now),
        "simulated": page.simulated,
        "card": {
            "reference": card.reference,
            "history": card.history,
            "opened": _time(card.opened),
            "by": card.by,
        },
        "headline": page.headline,
        "do_not_proceed": page.stopped,
        "open_points": list(standing(card, now).points),
        "tests": [_test(test) for test in standing(card, now).tests],
        "check": _check(card, judged) if judged else None,
        "cautions": [*page.cautions, page.deference],
    }


def as_bytes(value: dict[str, Any]) -> bytes:
    """The JSON text; never NaN, which is none."""
    return (json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode(
        errors="backslashreplace"
    )


def _time(moment: datetime | None) -> str | None:
    return moment.isoformat(timespec="seconds") if moment else None


def _test(test: TestState) -> dict[str, Any]:
    one = test.round
    started = one.started if one else None
    rule = RULES[test.kind]
    return {
        "test": test.kind.value,
        "state": test.stage.value,
        "outcome": one.finding.outcome if one and one.finding else None,
        "words": test.outcome or test.state,
        "at": _time(test.at),
        "by": test.by or None,
        "started": _time(started),
        "readable_from": _time(rule.readable_at(started)) if started else None,
        "expires": _expires(test),
        "product": one.product or None if one else None,
        "earlier": list(test.earlier),
    }


def _expires(test: TestState) -> str | None:
    """When the result stops to hold; of a test that is not read yet, until when it must be."""
    one, rule = test.round, RULES[test.kind]
    if one is None:
        return None
    if one.finding is None:
        return _time(rule.read_until(one.started)) if one.started else None
    return _time((one.started or one.finding.at) + rule.holds)


def _check(card: Card, judged: Judged) -> dict[str, Any]:
    from analysis.series.as_json import as_json

    check = card.check
    assert check is not None
    return {
        "begun": _time(check.begun),
        "ended": _time(check.ended),
        "by": check.by,
        "condition": check.condition,
        "gauge_length_mm": check.gauge_length_mm,
        "outcome": judged.outcome,
        "words": judged.words,
        "guideline_pct": judged.guideline_pct,
        "planned_zones": list(check.planned),
        "strands": [_strand(line) for line in judged.lines],
        "summary": as_json(judged.summary) if judged.summary else None,
        "measured": list(judged.measured),
        "how_sure": list(judged.sure),
        "not_told": list(judged.not_told),
    }


def _strand(line: StrandLine) -> dict[str, Any]:
    return {
        "strand": line.pull.strand,
        "zone": line.pull.zone,
        "pulled": _time(line.pull.at),
        "counts": line.counts,
        "set_aside": line.pull.aside or None,
        "result": line.result.to_json() if line.result else {"not_measured": line.words},
    }
