"""From where curves are to what is said of them: region and sentence, how one ended, how far the playing is."""

from __future__ import annotations

from collections.abc import Sequence

from tui import wording_lesson as wording
from tui.classroom.playback import Playback, speed_text
from tui.classroom.series import Series
from tui.widgets.play_line import Progress
from tui.widgets.region_banner import Passage

#: How a region's word looks.
ROLES = {"": "quiet", "elastic": "region0", "yield": "region1", "post_yield": "region2"}


def passage_in(region: str, name: str = "") -> Passage:
    """What is said while a region is passed."""
    return Passage(name, wording.REGION_WORDS[region], wording.FIBRE[region], ROLES[region])


def broken(stretch: str, load: str, name: str = "") -> Passage:
    """What is said of a strand that broke at a stretch, under a force or stress, as texts with their units."""
    return Passage(name, wording.BROKE_WORD, wording.BROKE_SENTENCE.format(stretch=stretch, load=load), "pin")


def passages_at(series: Sequence[Series], at_pct: float, unit: str, places: int) -> list[Passage]:
    """What is said of each curve that has regions, at a stretch; names only where there are several."""
    several = len(series) > 1
    return [_passage(one, at_pct, unit, places, one.name if several else "") for one in series if one.regions]


def _passage(one: Series, at_pct: float, unit: str, places: int, name: str) -> Passage:
    if at_pct < one.ends_pct:
        return passage_in(one.region_at(at_pct), name)
    if one.broke:
        return broken(f"{one.ends_pct:.1f} %", f"{one.y[-1]:.{places}f} {unit}", name)
    return Passage(name, wording.ENDED_WORD, wording.ENDED_SENTENCE.format(what=one.end_word), "pin")


def progress_at(playback: Playback) -> Progress:
    """How far the playing has come, in shares and words."""
    whole = playback.ends_pct or 1.0
    doing = wording.PLAYING if playback.playing else wording.AT_END if playback.at_end else wording.PAUSED
    speed = wording.SPEED_SHORT.format(speed=speed_text(playback.speed))
    return Progress(
        share=playback.at_pct / whole,
        breaks=tuple(one.ends_pct / whole for one in playback.series if one.broke),
        words=f"{doing} · {speed}",
    )
