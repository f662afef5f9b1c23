"""Results and recordings as the class's page takes them: plain values for JSON, few enough points for a browser."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tui import wording, wording_lesson
from tui.analysing import analyse_with_strand
from tui.classroom.series import Reel, Series
from tui.safe_text import clean
from tui.shown_result import shown as shown_from

#: Points of one curve at most: more than a browser's window has columns.
MOST_POINTS = 1500


def result_value(path: Path) -> dict[str, Any]:
    """A recording's result. Blocks. Raises what the analysis raises."""
    analysed = analyse_with_strand(path)
    shown = shown_from(path, analysed.result, analysed.specimen)
    points = shown.points
    keep = kept(len(points))
    return {
        "file": clean(path.name),
        "ends": getattr(analysed.result.elongation_at_break_pct, "value", points.x[-1] if len(points) else 0.0),
        "end_word": wording_lesson.END_WORDS[analysed.result.outcome],
        "title": shown.title,
        "simulated": shown.simulated,
        "sign": shown.card.sign,
        "words": shown.card.words,
        "sentence": shown.card.sentence,
        "values": [[value.label, value.value, value.margin] for value in shown.values],
        "notes": list(shown.notes),
        "guideline": shown.guideline_pct,
        "x": [round(points.x[i], 4) for i in keep],
        "y": [round(points.y[i], 5) for i in keep],
        "regions": [[band.name, band.start, band.end] for band in shown.bands],
    }


def reel_value(reel: Reel) -> dict[str, Any]:
    """Recordings to play: as groups where there are enough strands, else each strand."""
    return {
        "title": reel.title,
        "simulated": reel.simulated,
        "guideline": reel.guideline_pct,
        "rate": reel.rate_pct_s,
        "series": [_series_value(one) for one in reel.groups or reel.strands],
    }


def _series_value(one: Series) -> dict[str, Any]:
    keep = kept(len(one.x))
    return {
        "name": one.name,
        "x": _rounded(one.reached, keep, 4),
        "y": _rounded(one.y, keep, 5),
        "low": _rounded(one.low, keep, 5),
        "high": _rounded(one.high, keep, 5),
        "end_word": one.end_word,
        "ends": round(one.ends_pct, 4),
        "regions": [[r.name, wording.REGION_NAMES[r.name], r.start_pct, r.end_pct] for r in one.regions],
    }


def _rounded(values: Sequence[float], keep: Sequence[int], places: int) -> list[float]:
    return [round(values[index], places) for index in keep] if values else []


def kept(count: int) -> list[int]:
    """Which of so many points are kept: evenly spread ones, the first and the last among them."""
    if count <= MOST_POINTS:
        return list(range(count))
    return [round(number * (count - 1) / (MOST_POINTS - 1)) for number in range(MOST_POINTS)]
